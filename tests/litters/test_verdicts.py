"""What was decided of young ones: held back, let go, culled; who is offered to nobody then."""

import datetime

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.agenda.queries import the_day
from breeding.animals.models import Measurement
from breeding.animals.services import change_state
from breeding.buyers import services as buyers
from breeding.buyers.cautions import cautions_before
from breeding.buyers.openings import openings
from breeding.buyers.waiting import add_wish
from breeding.litters.models import Verdict
from breeding.litters.queries import pups_of
from breeding.litters.services import PupFacts, record_birth
from breeding.litters.verdicts.deciding import (
    bring_verdict_back,
    decided,
    let_the_others_go,
    record_verdict,
)
from breeding.offers.sales import change_sales_page, free_pups
from breeding.program import clock
from breeding.program.problems.doubts import DoubtError
from breeding.program.services import withdraw
from tests import cast
from tests.cast import words

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today():
    with time_machine.travel("2026-11-25 12:00:00Z", tick=False):
        yield


@pytest.fixture
def litter():
    """Three pups of 90 days, 16 cm wide: old and large enough to leave."""
    cast.the_program()
    litter = record_birth(
        dam=cast.female(pure="motoro"),
        born_on=cast.ago(90),
        pups=[PupFacts(sex=sex, disc_width_mm=90) for sex in "FFM"],
        today=clock.today(),
        by=None,
        sure=cast.SURE,
    )
    for pup in litter.pups.all():
        Measurement.objects.create(animal=pup.animal, on=cast.ago(2), disc_width_mm=160)
    return litter


def first(litter):
    return litter.pups.order_by("number").first().animal


def decide(animal, decision="hold", on=0, **more):
    return record_verdict(
        animal, decision=decision, on=cast.ago(on), today=clock.today(), by=None, **more
    )


def readings(litter):
    return pups_of([litter], asof=clock.today())[litter.pk]


def test_one_that_is_held_back_lacks_leave_to_go_and_says_why(litter):
    decide(first(litter), reason="nobody else carries her line")
    one = readings(litter)[0]
    assert one.lacks == (
        "leave to go (held back for breeding on 25 November 2026: nobody else carries her line)",
    )
    assert not one.is_ready
    assert one.standing.startswith("held back for breeding")
    assert [other.is_ready for other in readings(litter)[1:]] == [True, True]


def test_it_is_off_the_sales_page_the_waiting_list_and_the_day(litter):
    program = cast.the_program()
    page = change_sales_page(litter, by=None, pups=litter.pups.all())
    buyer = buyers.add_contact(by=None, name="Ulla")
    add_wish(buyer, by=None, wished_on=cast.ago(3), sex="F")
    held = first(litter)

    def offered():
        return (
            held in [one.pup.animal for one in free_pups(page, asof=clock.today())],
            held in [fit.animal for one in openings(program, asof=clock.today())
                     for fit in one.fitting],
        )  # fmt: skip

    assert offered() == (True, True)
    decide(held, reason="her line")
    assert offered() == (False, False)
    (line,) = [
        one for one in the_day(program, today=clock.today()).lines
        if one.kind.key == "ready_to_leave"
    ]  # fmt: skip
    assert "2 of 3 pups are old and large enough" in line.why
    assert "Not " in line.why
    assert "held back for breeding on 25 November 2026: her line" in line.why


def test_the_latest_by_its_day_counts_and_withdrawn_ones_do_not(litter):
    one = first(litter)
    later = decide(one, "go")
    decide(one, "hold", on=5)
    assert decided(one).decision == "go"
    owner = cast.owner()
    withdraw(later, by=owner, now=clock.now(), reason="slip")
    assert decided(one).decision == "hold"
    bring_verdict_back(Verdict.every.get(pk=later.pk))
    assert decided(one).decision == "go"
    decide(one, "open")
    assert decided(one).is_open


def test_a_cull_needs_a_reason_and_is_asked_once(litter):
    one = first(litter)
    with pytest.raises(ValidationError, match="Say why it is culled"):
        decide(one, "cull", sure=cast.SURE)
    with pytest.raises(DoubtError) as asked:
        decide(one, "cull", reason="it cannot swim")
    assert "Let a veterinarian look at it first" in asked.value.doubts[0].sentence
    assert not Verdict.objects.exists()
    decide(one, "cull", reason="it cannot swim", sure=[asked.value.doubts[0].mark])
    assert decided(one).is_withheld
    assert one.is_here


@pytest.mark.parametrize(
    ("decision", "on", "said"),
    [
        ("hold", -1, "is still to come; choose today or earlier"),
        ("hold", 91, "was born on"),
        ("eat", 0, "“eat” is not one of the decisions"),
    ],
)
def test_what_cannot_be_decided_is_said_by_its_field(litter, decision, on, said):
    with pytest.raises(ValidationError, match=said):
        decide(first(litter), decision, on)


def test_of_one_that_died_nothing_is_decided(litter):
    one = first(litter)
    change_state(one, state="died", on=cast.ago(3))
    with pytest.raises(ValidationError, match="there is nothing to decide"):
        decide(one)


def test_one_that_is_kept_for_a_buyer_is_asked_about_and_the_other_way_round(litter):
    one, other = first(litter), litter.pups.get(number=2).animal
    buyer = buyers.add_contact(by=None, name="Ulla")
    buyers.reserve_animal(one, buyer, by=None, on=clock.today())
    with pytest.raises(DoubtError, match="reserved for a buyer"):
        decide(one)
    decide(one, "go")
    decide(other, reason="her line")
    with pytest.raises(DoubtError, match="held back for breeding"):
        buyers.reserve_animal(other, buyer, by=None, on=clock.today())
    said = [one.words for one in cautions_before(other, cast.the_program(), on=clock.today())]
    assert any("held back for breeding" in one and "her line" in one for one in said)


def test_the_others_go_in_one_act(litter):
    decide(first(litter))
    gone = let_the_others_go(litter, on=clock.today(), by=None)
    assert [one.decision for one in gone] == ["go", "go"]
    assert decided(first(litter)).is_held_back
    with pytest.raises(ValidationError, match="something has been decided"):
        let_the_others_go(litter, on=clock.today(), by=None)


def test_verdict_is_two_taps_and_comes_back_to_the_litter(as_keeper, litter):
    one = first(litter)
    url = reverse("litters:verdict", args=[one.pk])
    assert 'value="hold" checked' in words(as_keeper.get(url + "?decision=hold"))
    answer = as_keeper.post(url, {"decision": "hold", "reason": "her line", "on": "2026-11-25"})
    assert answer.url == reverse("planning:litter", args=[litter.pk])
    assert decided(one).words == "held back for breeding on 25 November 2026: her line"
    page = words(as_keeper.get(one.get_absolute_url()))
    assert "Held back for breeding: her line" in page
    assert "held back for breeding" in words(as_keeper.get(litter.get_absolute_url()))


def test_verdict_to_cull_leads_to_where_its_death_is_written_down(as_keeper, litter):
    one = first(litter)
    url = reverse("litters:verdict", args=[one.pk])
    sent = {"decision": "cull", "reason": "it cannot swim", "on": "2026-11-25"}
    page = words(as_keeper.post(url, sent))
    assert "is to be killed. Let a veterinarian look at it first" in page
    mark = page.split('name="sure" value="')[1].split('"')[0]
    answer = as_keeper.post(url, sent | {"sure": mark})
    assert answer.url == one.get_absolute_url()
    assert reverse("animals:state", args=[one.pk]) in words(as_keeper.get(answer.url))


def test_let_go_is_one_tap(as_keeper, litter):
    answer = as_keeper.post(reverse("litters:let_go", args=[litter.pk]))
    assert answer.url == reverse("planning:litter", args=[litter.pk])
    assert Verdict.objects.filter(decision="go", on=datetime.date(2026, 11, 25)).count() == 3
