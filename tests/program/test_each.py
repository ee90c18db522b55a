"""Answers about each of many are kept: a row that is added renews those whom it is about."""

import pytest

from breeding.housing.models import Look, Tank
from breeding.pairings.models import Sighting
from breeding.program.frame.memory import for_one_request
from breeding.program.unchanged import each
from breeding.program.unchanged.each import forget_each, kept_of_each
from breeding.program.unchanged.marks import look_again
from tests import cast
from tests.cast import ago, see

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(autouse=True)
def _nothing_kept_yet(transactional_db):
    look_again()
    forget_each()
    yield
    forget_each()
    look_again()


@pytest.fixture
def asked():
    """Of whom was asked, each time that something was reckoned."""
    return []


@pytest.fixture
def seen(asked):
    """How often each of some females was seen, as a page asks it."""

    def about(last):
        return set(Sighting.objects.filter(pk__gt=last).values_list("female", flat=True))

    def count(keys):
        asked.append(sorted(keys))
        rows = list(Sighting.objects.filter(withdrawn_at__isnull=True))
        return {key: sum(one.female_id == key for one in rows) for key in keys}

    def page(*females, about=about):
        keys = [one.pk for one in females]
        with for_one_request(only_reads=True):
            return kept_of_each("seen", keys, count, {Sighting: about})

    return page


def test_only_those_are_reckoned_again_whom_a_new_row_is_about(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(mira, 3)
    assert seen(mira, vega) == {mira.pk: 1, vega.pk: 0}
    assert seen(mira, vega) == {mira.pk: 1, vega.pk: 0}
    see(mira, 1)
    assert seen(mira, vega) == {mira.pk: 2, vega.pk: 0}
    assert asked == [sorted([mira.pk, vega.pk]), [mira.pk]]


def test_who_was_not_asked_about_before_is_reckoned_beside_those_that_are_kept(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(vega, 2)
    assert seen(mira) == {mira.pk: 0}
    assert seen(vega, mira) == {vega.pk: 1, mira.pk: 0}
    assert asked == [[mira.pk], [vega.pk]]


def test_a_row_that_was_changed_or_removed_is_about_everybody(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    see(mira, 3)
    seen(mira, vega)
    Sighting.objects.update(female=vega)
    assert seen(mira, vega) == {mira.pk: 0, vega.pk: 1}
    Sighting.objects.all().delete()
    assert seen(mira, vega) == {mira.pk: 0, vega.pk: 0}
    assert asked == [sorted([mira.pk, vega.pk])] * 3


def test_a_row_may_be_about_everybody(seen, asked, owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    seen(mira, vega)
    see(mira, 1)
    assert seen(mira, vega, about=lambda last: None) == {mira.pk: 1, vega.pk: 0}
    assert asked == [sorted([mira.pk, vega.pk])] * 2


def test_what_is_written_to_tables_that_are_not_read_renews_nobody(seen, asked, owner):
    mira = cast.female("Mira")
    seen(mira)
    Look.objects.create(tank=Tank.objects.create(name="Pool", volume_litres=900), on=ago(1))
    seen(mira)
    assert asked == [[mira.pk]]


def test_in_a_request_that_may_write_everybody_is_reckoned(asked, owner):
    mira = cast.female("Mira")
    for _ in range(2):
        with for_one_request():
            kept_of_each("seen", [mira.pk], lambda keys: asked.append(list(keys)) or {}, {})
    assert asked == [[mira.pk]] * 2


def test_no_more_is_kept_than_was_asked_last_once_there_is_too_much(
    seen, asked, owner, monkeypatch
):
    monkeypatch.setattr(each, "MOST_OF_ONE", 1)
    mira, vega = cast.female("Mira"), cast.female("Vega")
    seen(mira)
    seen(vega)
    seen(mira)
    assert asked == [[mira.pk], [vega.pk], [mira.pk]]
