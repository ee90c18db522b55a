"""One animal is kept for one person, and let go with a reason."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from breeding.animals.services import change_state
from breeding.buyers import services
from breeding.program.services import withdraw
from tests import cast

pytestmark = pytest.mark.django_db
ON = cast.day("2026-11-25")


@pytest.fixture
def kim(owner):
    return services.add_contact(by=owner, name=" Kim Lund ", wish="a pair")


@pytest.fixture
def lyra(owner):
    return cast.female("Lyra")


def test_a_second_reservation_is_refused_by_both_names(lyra, kim, owner):
    services.reserve_animal(lyra, kim, by=owner, on=ON, until=cast.day("2026-12-20"))
    other = services.add_contact(by=owner, name="Ada Berg")
    with pytest.raises(
        ValidationError, match="Lyra is reserved for Kim Lund until 20 December 2026"
    ):
        services.reserve_animal(lyra, other, by=owner, on=ON)


def test_two_at_the_same_moment_are_refused_by_name_as_well(lyra, kim, owner, monkeypatch):
    services.reserve_animal(lyra, kim, by=owner, on=ON)
    checked = iter([None])  # the first look sees nothing yet
    look = services.reservation_of
    monkeypatch.setattr(services, "reservation_of", lambda one: next(checked, look(one)))
    with pytest.raises(ValidationError, match="Lyra is reserved for Kim Lund"):
        services.reserve_animal(lyra, kim, by=owner, on=ON)


def test_what_was_withdrawn_with_a_reason_can_be_kept_for_somebody_else(lyra, kim, owner):
    first = services.reserve_animal(lyra, kim, by=owner, on=ON)
    with pytest.raises(ValidationError, match="Say why"):
        withdraw(first, by=owner, now=timezone.now(), reason=" ")
    withdraw(first, by=owner, now=timezone.now(), reason="did not answer")
    other = services.add_contact(by=owner, name="Ada Berg")
    assert services.reserve_animal(lyra, other, by=owner, on=ON).contact == other
    first.refresh_from_db()
    assert first.withdrawn_reason == "did not answer"


def test_keeping_until_a_day_that_is_past_is_refused(lyra, kim, owner):
    with pytest.raises(ValidationError, match="24 November 2026 is past") as refused:
        services.reserve_animal(lyra, kim, by=owner, on=ON, until=ON - datetime.timedelta(1))
    assert "until" in refused.value.message_dict


@pytest.mark.parametrize("state", ["left", "died"])
def test_an_animal_that_is_gone_is_not_kept(lyra, kim, owner, state):
    change_state(lyra, state=state, on=ON)
    with pytest.raises(ValidationError, match=f"Lyra {state} on 25 November 2026; only"):
        services.reserve_animal(lyra, kim, by=owner, on=ON)


def test_a_contact_without_a_name_is_refused(owner):
    with pytest.raises(ValidationError) as refused:
        services.add_contact(by=owner, name="  ")
    assert "name" in refused.value.message_dict


def test_a_contact_changes_only_what_is_given(kim, owner):
    services.change_contact(kim, reach="kim@example.org")
    kim.refresh_from_db()
    assert (kim.name, kim.reach, kim.wish) == ("Kim Lund", "kim@example.org", "a pair")
    with pytest.raises(ValueError, match="no 'price'"):
        services.change_contact(kim, price="9")
