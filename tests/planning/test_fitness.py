"""Could be mated, and fit to breed: two figures with known answers, at the plan and on the page."""

import datetime

import pytest
from django.urls import reverse

from breeding.animals.models import Measurement
from breeding.animals.species.profiles import Figures
from breeding.planning.pair import pair_report
from breeding.planning.season.fitness import Body, Width, fitness
from breeding.planning.season.readiness import candidates
from breeding.program import clock
from tests import cast
from tests.cast import ago, words

SEASON = reverse("planning:season")
TODAY = datetime.date(2026, 11, 28)
NO_FIGURES = Figures("none", {})
GROWN = TODAY - datetime.timedelta(days=1500)


def judged(**facts):
    body = Body(**{"sex": "F", "born_on": GROWN, "disc_width_mm": 360, "condition": 3} | facts)
    return fitness(body, NO_FIGURES, today=TODAY, unit="cm")


def measured(animal, width=None, **more):
    Measurement.objects.create(animal=animal, on=ago(3), disc_width_mm=width, **more)


def test_fit_to_breed_asks_for_every_figure():
    assert judged().is_fit is True
    assert judged().words == "yes, by age, width, condition, health and rest"


@pytest.mark.parametrize(
    ("width", "on", "is_outgrown"),
    [(107, 366, True), (107, 365, False), (349, 366, True), (350, 366, False), (107, None, False)],
)
def test_a_small_width_of_more_than_a_year_ago_is_no_width_of_today(width, on, is_outgrown):
    day = None if on is None else TODAY - datetime.timedelta(days=on)
    assert Width(width, day).is_outgrown("F", NO_FIGURES, TODAY) is is_outgrown


@pytest.mark.django_db
def test_what_was_measured_as_a_pup_is_said_with_its_day_and_nobody_is_unfit_for_it():
    judgement = judged(disc_width_mm=None, outgrown=Width(107, datetime.date(2023, 4, 4)))
    said = "its disc width was last measured on 4 April 2023 (10.7 cm), and it has grown since"
    assert (judgement.unfit, judgement.unknown) == ((), (said,))


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        (
            {"disc_width_mm": 295},
            "is 29.5 cm wide: by the species' figures a female is fit to breed from 35.0 cm",
        ),
        (
            {"born_on": TODAY - datetime.timedelta(days=548)},
            "is too young: by the species' figures a female is fit to breed from 730 days on, "
            "that is 29 May 2027",
        ),
        ({"condition": 2}, "is thin (condition 2 of 5)"),
        (
            {"condition": 2, "condition_on": datetime.date(2026, 8, 22)},
            "is thin (condition 2 of 5 on 22 August 2026)",
        ),
        (
            {"rests_until": TODAY + datetime.timedelta(days=3)},
            "rests until 1 December 2026 after her last birth",
        ),
        ({"open_harm": ("is off food",)}, "is off food"),
    ],
)
def test_each_reason_alone_makes_her_unfit(facts, said):
    assert (judged(**facts).is_fit, judged(**facts).unfit) == (False, (said,))


@pytest.mark.django_db  # it says the size as the program's species call it
def test_what_nobody_wrote_down_is_said_and_is_no_yes():
    one = judged(born_on=None, disc_width_mm=None)
    assert one.is_fit is None
    assert one.words == (
        "as far as is known; its age is not on record and its disc width is not on record"
    )


@pytest.fixture
def small_and_large(as_keeper):
    """Mira is 18 months old and 33 cm wide; Deneb is grown and a third wider."""
    mira = cast.female("Mira", pure="motoro", born_on=ago(560))
    deneb = cast.male("Deneb", pure="motoro", born_on=ago(2000))
    measured(mira, 330)
    measured(deneb, 440)
    return mira, deneb


def test_an_old_female_of_29_cm_could_be_mated_and_is_not_fit(owner):
    small = cast.female("Small", pure="motoro", born_on=ago(2000))
    measured(small, 295)
    one = candidates([small], cast.the_program(), today=clock.today())[small.pk]
    assert (one.is_mature, one.fitness.is_fit, one.is_ready) == (True, False, False)


def test_the_plan_gives_no_18_months_old_to_a_male_a_third_larger(as_keeper, small_and_large):
    mira, deneb = small_and_large
    page = as_keeper.get(SEASON)
    assert page.context["form"].fields["female"].initial == []
    assert "is too young" in words(page)
    chosen = as_keeper.get(SEASON, {"female": mira.pk, "male": deneb.pk, "per_female": 1})
    assert "plan" not in chosen.context or not chosen.context["plan"].rows
    chosen = as_keeper.get(f"{SEASON}?female={mira.pk}&male={deneb.pk}")
    assert "you ask for no male much wider than the female." in words(chosen)
    by_hand = as_keeper.get(f"{SEASON}?female={mira.pk}&male={deneb.pk}&must={mira.pk}-{deneb.pk}")
    assert len(by_hand.context["plan"].rows) == 1


def test_a_smaller_male_is_planned_in_his_place(as_keeper, small_and_large):
    mira, deneb = small_and_large
    fitting = cast.male("Altair", pure="motoro", born_on=ago(2000))
    measured(fitting, 350)
    asked = f"{SEASON}?female={mira.pk}&male={deneb.pk}&male={fitting.pk}"
    (row,) = as_keeper.get(asked).context["plan"].rows
    assert row.male.animal == fitting


def test_the_pair_page_says_both_figures_and_that_he_is_too_wide(as_keeper, small_and_large):
    mira, deneb = small_and_large
    page = words(as_keeper.get(reverse("planning:pair"), {"female": mira.pk, "male": deneb.pk}))
    assert (
        "Deneb is wider than Mira by 33 % (44.0 cm to 33.0 cm); at most 10 % is meant to be" in page
    )
    assert "<dt>Could be mated</dt> <dd>yes, by the early end of age or size</dd>" in page
    assert "<dd>no: is too young" in page


@pytest.mark.parametrize(
    ("severity", "against"),
    [(None, "nobody said how bad"), (1, ""), (2, "severity 2, broken skin"), (4, "severity 4")],
)
def test_open_marks_speak_against_a_pair_until_they_are_seen_healed(owner, severity, against):
    mira, deneb = cast.female("Mira"), cast.male("Deneb")
    cast.see(mira, 40, "fresh_bite_marks", severity=severity)

    def said():
        report = pair_report(mira, deneb, cast.the_program(), today=clock.today())
        return " ".join((report.verdict, *report.against))

    assert (against in said()) if against else ("marks" not in said())
    cast.see(mira, 1, "healing_marks", severity=0)
    assert "marks" not in said()


def test_off_food_speaks_against_a_pair_until_eating_again_or_a_birth(owner):
    mira, vega = cast.female("Mira"), cast.female("Vega")
    for one in (mira, vega):
        cast.see(one, 3, "off_food")
    program, today = cast.the_program(), clock.today()
    found = candidates([mira, vega], program, today=today)
    assert found[mira.pk].fitness.is_fit is False
    assert "is off food, last seen so on" in found[mira.pk].fitness.words
    cast.see(mira, 1, "eats_again")
    vega.outcomes.create(on=ago(2), kind="live_birth")
    found = candidates([mira, vega], program, today=today)
    assert [found[one.pk].fitness.unfit for one in (mira, vega)] == [(), ()]


def test_pair_her_is_not_offered_beside_an_open_wound(as_keeper):
    mira = cast.female("Mira")
    pages = (reverse("pairings:female", args=[mira.pk]), mira.get_absolute_url())
    assert all("Pair her" in words(as_keeper.get(page)) for page in pages)
    cast.see(mira, 60, "fresh_bite_marks", severity=3)
    for page in pages:
        said = words(as_keeper.get(page))
        assert "Pair her" not in said
        assert "Not to be paired now: Mira has marks (severity 3, open)" in said
    cast.see(mira, 0, "healing_marks", severity=0)
    assert all("Pair her" in words(as_keeper.get(page)) for page in pages)
