"""Answers to the day's lines taken back, changed and given again; plans likewise."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from breeding.agenda.models import Answer
from breeding.agenda.queries import all_ahead, the_day
from breeding.agenda.services import answer_line, bring_back_answer, change_answer
from breeding.animals.models import Animal
from breeding.pairings.mending.corrections import change_sighting
from breeding.pairings.season.looked import looked_days
from breeding.pairings.season.marks import marks_of
from breeding.planning.models import PlannedPairing
from breeding.planning.services import plan_again, plan_pairing
from breeding.program import clock
from breeding.program.acts.mending import address_of, change_address_of
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast
from tests.agenda.season import ahead
from tests.cast import ago, pair, see, words

pytestmark = pytest.mark.django_db
DAY = reverse("agenda:day")


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


@pytest.fixture
def bitten(mira, deneb):
    """The line that asks to separate the two."""
    pair(mira, deneb, 20)
    see(mira, 1, "fresh_bite_marks", severity=3)
    return next(one for one in standing() if one.kind.key == "separate_now")


def standing():
    return the_day(the_program(), today=clock.today()).lines


def keys() -> set[str]:
    return {one.key for one in standing()}


def answered(line, **more) -> Answer:
    return answer_line(line.key, by=None, today=clock.today(), **more)


def taken_back(answer) -> Answer:
    return withdraw(answer, by=None, now=clock.now(), reason="a slip of the thumb")


def test_taken_back_the_day_asks_again_and_so_does_the_calendar(bitten):
    answer = answered(bitten)
    assert bitten.key not in keys()
    taken_back(answer)
    assert bitten.key in keys()
    assert bitten.key in {one.key for one in all_ahead(the_program(), today=clock.today())}


def test_taken_back_the_answer_before_it_counts(bitten):
    answered(bitten, put_off_until=ahead(3))
    taken_back(answered(bitten))
    (found,) = the_day(the_program(), today=clock.today()).answered
    assert found[1].put_off_until == ahead(3)


def test_taken_back_nobody_has_looked_at_her_that_day(mira, bitten):
    answer = answered(bitten)
    Answer.objects.update(recorded_at=clock.now() - datetime.timedelta(days=4))
    assert ago(4) in looked_days({mira.pk})[mira.pk]
    answer.refresh_from_db()
    taken_back(answer)
    assert ago(4) not in looked_days({mira.pk}).get(mira.pk, ())


def test_put_off_instead_of_done_it_stands_again_on_that_day(bitten):
    answer = answered(bitten)
    change_answer(answer, put_off_until=ahead(2), today=clock.today())
    assert bitten.key not in keys()
    then = the_day(the_program(), today=ahead(2)).lines
    assert bitten.key in {one.key for one in then}
    with pytest.raises(ValidationError, match="is not later than today"):
        change_answer(answer, put_off_until=ago(1), today=clock.today())


def test_answered_anew_since_it_does_not_come_back(bitten):
    first = taken_back(answered(bitten))
    answered(bitten)
    with pytest.raises(ValidationError, match="It was answered anew on"):
        bring_back_answer(first)


def test_the_day_says_what_was_taken_back_and_offers_it_again(as_keeper, bitten):
    answer = answered(bitten, note="he is gone")
    page = words(as_keeper.get(DAY))
    assert f'<a href="{change_address_of(answer)}">change</a>' in page
    assert f'<a href="{address_of(answer)}">take back</a>' in page
    as_keeper.post(address_of(answer), {"reason": "he was not"})
    page = words(as_keeper.get(DAY))
    assert "Answers taken back (1)" in page
    assert f'<a href="{address_of(answer)}">bring back</a>' in page
    as_keeper.post(reverse("program:bring_back", args=["answer", answer.pk]))
    assert bitten.key not in keys()


def test_its_page_names_her_and_what_was_asked(as_keeper, bitten):
    page = words(as_keeper.get(address_of(answered(bitten))))
    assert "<small>Mira: separate now; given" in page


def test_the_day_and_the_calendar_follow_a_sighting_to_another_female(mira, bitten, deneb):
    vega = cast.female("Vega", pure="motoro")
    pair(vega, deneb, 20)
    seen = mira.sightings.get()
    change_sighting(
        seen,
        female=vega,
        kind=seen.kind,
        seen_at=seen.seen_at,
        severity=3,
        now=clock.now(),
        by=None,
    )
    program, today = the_program(), clock.today()
    for lines in (standing(), all_ahead(program, today=today)):
        assert [one.who for one in lines if one.kind.key == "separate_now"] == ["Vega"]


class TestPlans:
    def test_given_up_and_planned_anew_it_does_not_wait_twice(self, mira, deneb):
        facts = {"female": mira, "male": deneb, "by": None, "today": clock.today()}
        first = plan_pairing(not_before=ahead(5), **facts)
        withdraw(first, by=None, now=clock.now(), reason="too soon")
        plan_pairing(not_before=ahead(9), **facts)
        with pytest.raises(ValidationError, match="are planned already, from"):
            plan_again(first)

    def test_of_one_that_died_it_is_not_planned_again(self, mira, deneb):
        today = clock.today()
        plan = plan_pairing(female=mira, male=deneb, not_before=today, by=None, today=today)
        withdraw(plan, by=None, now=clock.now(), reason="too soon")
        deneb.state, deneb.state_on = "died", ago(1)
        deneb.save()
        plan.male.refresh_from_db()
        with pytest.raises(ValidationError, match="Deneb died; it cannot be used"):
            plan_again(plan)

    def test_those_given_up_are_folded_below_with_the_reason(self, as_keeper, mira, deneb):
        today = clock.today()
        plan = plan_pairing(female=mira, male=deneb, not_before=today, by=None, today=today)
        as_keeper.post(address_of(plan), {"reason": "too close"})
        page = words(as_keeper.get(reverse("planning:waiting")))
        assert "Given up (1)" in page
        assert "withdrawn: too close" in page
        as_keeper.post(reverse("program:bring_back", args=["planned-pairing", plan.pk]))
        assert not PlannedPairing.objects.get().is_withdrawn


def test_a_key_of_many_animals_has_room_for_an_answer():
    many = [Animal(pk=1_000_000 + number) for number in range(60)]
    assert marks_of(many[:2]) == marks_of(many[1::-1]) == "1000000-1000001"
    assert marks_of(many) != marks_of(many[:-1])
    assert len(marks_of(many)) < 30
