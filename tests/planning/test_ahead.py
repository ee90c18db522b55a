"""A look ahead from the page to its result; the arithmetic is tested in tests/pedigree."""

import datetime

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from breeding.litters.size import LitterSize
from breeding.pairings.services import open_pairing
from breeding.planning.ahead import runs as ahead
from breeding.planning.ahead.forms import LookAheadForm
from breeding.planning.ahead.own_figures import OwnFigure, own_figures
from breeding.planning.models import LookAhead
from breeding.planning.state.members import Member, members
from breeding.program import clock
from breeding.program.services import withdraw
from pedigree.ahead.assumptions import Assumptions
from tests import cast

pytestmark = pytest.mark.one_database("arithmetic of a program that is simulated")

FEW = {"years": 3, "replicates": 6, "places": 10}


@pytest.fixture
def small_program(keeper):
    born = cast.day("2018-05-01")
    for name in ("Vega", "Mira", "Capella"):
        cast.female(name, born_on=born)
    for name in ("Altair", "Deneb"):
        cast.male(name, born_on=born)
    return keeper


def begun(seed=7, **changes):
    return ahead.begin(FEW | changes, seed=seed, basis={}, by=None, now=clock.now())


def test_the_same_seed_gives_the_same_answer_however_many_work_on_it(small_program):
    results = []
    for workers, seed in ((1, 7), (2, 7), (1, 8)):
        asked = begun(seed)
        ahead.run(asked.pk, workers=workers)
        asked.refresh_from_db()
        assert asked.state == LookAhead.State.DONE, asked.trouble
        results.append(asked.result)
    assert results[0] == results[1]
    assert results[0] != results[2]
    start = results[0]["as_now"]["figures"]["gene_diversity"][0]
    assert start == [0.9, 0.9, 0.9]  # five unrelated: 1 - 1/10


def test_one_pair_a_year_is_as_inbred_as_full_sibs_are_and_dies_out_as_coins_fall(keeper):
    """F 0, 1/4, 3/8 under full-sib mating: Wright 1921, Genetics 6:124-143.

    Two young are kept, and all that bred die: with chance 1/2 both are of one sex, and nobody is
    left a year later. Three years end with somebody when two of two such coins fell well.
    """
    for cast_one, name in ((cast.female, "Vega"), (cast.male, "Altair")):
        cast_one(name, born_on=cast.day("2018-05-01"))
    asked = begun(
        replicates=60, places=2, young_per_litter=12, females_paired=1, deaths_grown=1,
        deaths_first_year=0, departures_young=0, departures_grown=0, first_breeding_female=1,
        first_breeding_male=1, loci=1,
    )  # fmt: skip
    ahead.run(asked.pk, workers=1)
    asked.refresh_from_db()
    for policy in ("as_now", "by_the_plan"):
        found = asked.result[policy]
        assert found["figures"]["inbreeding_of_young"] == [
            [None] * 3, [0.0] * 3, [0.25] * 3, [0.375] * 3,
        ]  # fmt: skip
        assert found["figures"]["gene_diversity"][:2] == [[0.75] * 3, [0.625] * 3]
        assert abs(found["died_out"] - 0.75) < 4 * (0.75 * 0.25 / 60) ** 0.5


def test_one_that_is_stopped_has_no_result(small_program):
    asked = begun()
    LookAhead.objects.update(stop_wished=True)
    ahead.run(asked.pk, workers=1)
    asked.refresh_from_db()
    assert (asked.state, asked.result) == (LookAhead.State.STOPPED, {})


def test_only_one_runs_at_a_time_and_a_silent_one_is_given_up(small_program):
    first = begun()
    with pytest.raises(ValidationError, match="is running already"):
        begun()
    LookAhead.objects.update(heard_of_at=clock.now() - datetime.timedelta(minutes=5))
    begun()
    first.refresh_from_db()
    assert first.state == LookAhead.State.FAILED


class TestTakenUp:
    """What was at work in a process that has ended is begun again by whoever does the minute."""

    @pytest.fixture
    def taken(self, monkeypatch):
        found = []
        monkeypatch.setattr(ahead, "run_beside", found.append)
        return found

    def test_a_silent_one_is_begun_again_once_and_comes_to_the_same_end(self, small_program, taken):
        asked = begun()
        ahead.run(asked.pk, workers=1)
        asked.refresh_from_db()
        first = asked.result
        long_ago = clock.now() - datetime.timedelta(minutes=5)
        LookAhead.objects.update(heard_of_at=long_ago, state="running", done=7, result={})
        for _ in range(2):  # two server processes
            ahead.take_up(clock.now())
        assert taken == [asked]
        ahead.run(asked.pk, workers=1)
        asked.refresh_from_db()
        assert (asked.state, asked.begun, asked.result) == ("done", 2, first)

    def test_one_that_gives_signs_of_life_is_left_alone(self, small_program, taken):
        begun()
        ahead.take_up(clock.now())
        assert taken == []

    def test_what_ends_its_process_three_times_is_given_up_in_words(self, small_program, taken):
        asked = begun()
        long_ago = clock.now() - datetime.timedelta(minutes=5)
        for _ in range(3):
            LookAhead.objects.update(heard_of_at=long_ago)
            ahead.take_up(clock.now())
        asked.refresh_from_db()
        assert len(taken) == 2
        assert (asked.state, asked.trouble) == (
            "failed",
            "The server was stopped before it was done, 3 times.",
        )

    def test_one_that_was_to_stop_is_not_begun_again(self, small_program, taken):
        asked = begun()
        long_ago = clock.now() - datetime.timedelta(minutes=5)
        LookAhead.objects.update(heard_of_at=long_ago, stop_wished=True)
        ahead.take_up(clock.now())
        asked.refresh_from_db()
        assert (asked.state, taken) == ("stopped", [])


def test_days_are_those_of_the_programs_zone(small_program, monkeypatch):
    """Noon on New Year's Eve in London is New Year's Day on Kiritimati (UTC+14)."""
    cast.the_program(time_zone="Pacific/Kiritimati")
    days = []

    def remember_the_day(*_args, **_kwargs):
        days.append(clock.today())
        raise ahead.Stopped

    monkeypatch.setattr(ahead, "look_ahead", remember_the_day)
    with time_machine.travel("2026-12-31 12:00 +0000", tick=False):
        with timezone.override("Pacific/Kiritimati"):  # as the request does
            asked = begun()
        ahead.run(asked.pk, workers=1)  # as the thread does: no request, no zone
    assert asked.first_year == 2027
    assert days == [cast.day("2027-01-01")]


def test_a_figure_out_of_range_is_named(small_program):
    with pytest.raises(ValidationError, match=r"deaths_grown is from 0 to 1 \(share\), not 2"):
        begun(deaths_grown=2)


def test_nobody_living_is_said(keeper):
    with pytest.raises(ValidationError, match="Nobody is living"):
        begun()


def test_own_rates_are_counted_over_animal_years():
    """Ten grown animals over five years with two deaths: 2 / 50 a year (own arithmetic)."""
    today = cast.day("2026-01-01")
    born = cast.day("2010-01-01")
    five_years = today - datetime.timedelta(days=5 * 365)
    grown = [Member(k, str(k), "M", born, "day", True, born, None, None) for k in range(9)]
    dead = [
        Member(9, "9", "M", born, "day", False, born, today, None, died=True),
    ]
    assert five_years > born
    found = _own(grown + dead, today)["deaths_grown"]
    assert found.records == 50
    assert found.value == pytest.approx(1 / 50, rel=0.01)


def test_young_of_long_ago_do_not_count_among_the_last_five_years():
    """Ten old young all died, of ten new ones none: 0 of 10 (own arithmetic)."""
    today = cast.day("2026-01-01")
    old, new = cast.day("2010-01-01"), cast.day("2024-01-01")
    dead = [
        Member(k, str(k), "M", old, "day", False, old, old, None, died=True, is_born_here=True)
        for k in range(10)
    ]
    alive = [
        Member(k, str(k), "M", new, "day", True, new, None, None, is_born_here=True)
        for k in range(10, 20)
    ]
    found = _own(dead + alive, today)["deaths_first_year"]
    assert (found.value, found.records) == (0.0, 10)


def test_a_withdrawn_pairing_says_nothing_of_since_when_one_counts(small_program):
    vega = cast.female("Rigel")
    altair = cast.male("Hadar")
    for on in ("2015-01-01", "2020-01-01"):
        pairing = open_pairing(
            female=vega,
            male=altair,
            introduced_on=cast.day(on),
            separated_on=cast.day(on),
            program=cast.the_program(),
            by=None,
            today=clock.today(),
        )
        if on == "2015-01-01":
            withdraw(pairing, by=None, now=clock.now(), reason="another female")
    since = {one.name: one.since for one in members()}
    assert since["Rigel"] == since["Hadar"] == cast.day("2020-01-01")


def _own(some, today):
    from unittest.mock import patch

    with (
        patch("breeding.planning.ahead.own_figures.Litter.objects.filter", return_value=[]),
        patch("breeding.planning.ahead.own_figures.Pup.objects.filter", return_value=[]),
        patch("breeding.planning.ahead.own_figures.usual_litter", return_value=LitterSize(4.0, 0)),
    ):
        return own_figures(some, today)


def test_with_few_records_the_assumption_stands_and_says_so(small_program):
    found = own_figures(members(), clock.today())
    assert found["young_per_litter"].value == Assumptions().young_per_litter
    assert found["young_per_litter"].basis == "assumption"


def test_the_form_offers_every_assumption_and_takes_shares_in_per_cent(small_program):
    own = own_figures(members(), clock.today())
    blank = LookAheadForm(own=own)
    typed = {name: field.initial for name, field in blank.fields.items()}
    form = LookAheadForm(typed | {"deaths_grown": 10}, own=own)
    assert form.is_valid(), form.errors
    assert form.figures()["deaths_grown"] == 0.1
    assert form.basis()["deaths_grown"] == "typed in"
    assert form.basis()["litters_per_pair"] == "assumption"


def test_a_rate_left_as_it_is_shown_is_taken_unrounded(small_program):
    """One death in 47 years of grown animals is 2.127... % (own arithmetic); 2.1 is shown."""
    own = own_figures(members(), clock.today())
    own["deaths_grown"] = OwnFigure("deaths_grown", 1 / 47, 47, "years of grown animals")
    blank = LookAheadForm(own=own)
    typed = {name: field.initial for name, field in blank.fields.items()}
    assert typed["deaths_grown"] == 2.1
    assert blank.fields["deaths_grown"].help_text == (
        "From 47 years of grown animals here, of the last 5 years; rounded here, and taken "
        "unrounded when left as it stands"
    )
    assert blank.fields["deaths_first_year"].help_text == "Assumption"  # 20 % is not rounded
    left = LookAheadForm(
        {name: "" if value is None else str(value) for name, value in typed.items()}, own=own
    )
    assert left.is_valid(), left.errors
    assert left.figures()["deaths_grown"] == 1 / 47
    assert (
        left.basis()["deaths_grown"] == "from 47 years of grown animals here, of the last 5 years"
    )
    exact = {name: one.value for name, one in own.items()}
    assert Assumptions(**left.figures()) == Assumptions(**exact)
    changed = LookAheadForm(typed | {"deaths_grown": 2.2, "first_breeding_male": 4}, own=own)
    assert changed.is_valid(), changed.errors
    assert changed.figures()["deaths_grown"] == pytest.approx(0.022, abs=1e-15)
    assert changed.basis()["deaths_grown"] == changed.basis()["first_breeding_male"] == "typed in"


def test_ahead_leads_to_the_one_that_is_running(as_keeper, small_program, monkeypatch):
    monkeypatch.setattr(ahead, "run_beside", lambda _asked: None)
    page = reverse("planning:ahead")
    link = "How far it is, and how to stop it"
    assert link not in as_keeper.get(page).content.decode()
    asked = begun()
    blank = as_keeper.get(page)
    assert f'<a href="{asked.get_absolute_url()}">{link}</a>' in blank.content.decode()
    typed = {name: field.initial for name, field in blank.context["form"].fields.items()}
    typed = {name: value for name, value in typed.items() if value is not None}
    refused = as_keeper.post(page, typed | FEW).content.decode()
    assert "A look ahead is running already" in refused
    assert f'<a href="{asked.get_absolute_url()}">{link}</a>' in refused
    LookAhead.objects.update(heard_of_at=clock.now() - datetime.timedelta(minutes=5))
    assert link not in as_keeper.get(page).content.decode()


def test_ahead_starts_one_and_leads_to_it(as_keeper, small_program, monkeypatch):
    started = []
    monkeypatch.setattr(ahead, "run_beside", started.append)
    blank = as_keeper.get(reverse("planning:ahead")).context["form"]
    typed = {name: field.initial for name, field in blank.fields.items()}
    typed = {name: value for name, value in typed.items() if value is not None}
    answer = as_keeper.post(reverse("planning:ahead"), typed | {"replicates": 9000})
    (refused,) = answer.context["form"].errors.values()
    assert "500" in refused[0]
    answer = as_keeper.post(reverse("planning:ahead"), typed | FEW)
    (asked,) = started
    assert answer.url == reverse("planning:outlook", args=[asked.pk])
    words = as_keeper.get(answer.url).content.decode()
    assert "0 of 18 simulated programs are done." in words
    as_keeper.post(reverse("planning:stop", args=[asked.pk]))
    assert LookAhead.objects.get().stop_wished


def test_outlook_shows_bands_and_what_they_rest_on(as_keeper, small_program):
    asked = begun()
    ahead.run(asked.pk, workers=1)
    words = as_keeper.get(reverse("planning:outlook", args=[asked.pk])).content.decode()
    assert "By the plan: the best allocation every year" in words
    assert "Inbreeding does not change survival or litter size here." in words
    assert "too few for the shade to hold nine in ten" in words  # six programs were simulated
    assert words.count("<polygon") == 9  # three figures under three policies
    assert 'aria-labelledby="gene_diversity-title gene_diversity-words"' in words


def test_stop_is_nothing_for_a_viewer(as_viewer, small_program):
    asked = begun()
    assert as_viewer.post(reverse("planning:stop", args=[asked.pk])).status_code == 403
