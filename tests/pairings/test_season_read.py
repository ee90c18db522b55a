"""What is read off a season once its facts and its estimate stand: both made up, no rows."""

import datetime
from types import SimpleNamespace

import pytest

from breeding.animals.models import Animal
from breeding.animals.species.profiles import Figures
from breeding.feeding.appetite import Appetite, Refusal
from breeding.gestation import Profile
from breeding.gestation.actions import Action, Rules
from breeding.pairings.models import Outcome, Pairing, Sighting, SignKind
from breeding.pairings.season import reading
from breeding.pairings.season.exposure import Stretch
from breeding.pairings.season.reading import SeasonReading, rules_of
from breeding.program.models import Program
from tests import cast

START = cast.day("2026-03-01")
MIRA = Animal(pk=1, code="F1", call_name="Mira", sex="F")
DENEB = Animal(pk=2, code="M1", call_name="Deneb", sex="M")
ALTAIR = Animal(pk=3, code="M2", call_name="Altair", sex="M")
MATING = SignKind(key="copulation", label="Copulation", after=0.25, without=0.0012)
BITES = SignKind(key="fresh_bite_marks", label="Fresh bite marks", after=0.4, without=0.045)
OFF_FOOD = SignKind(key="off_food", label="Off her food", is_off_food=True)


def on(number):
    return None if number is None else START + datetime.timedelta(days=number)


def season(asof=20, *, est=None, actions=None, **facts):
    found = SeasonReading(
        **{
            "female": MIRA,
            "asof": on(asof),
            "profile_label": "P. motoro",
            "profile": Profile(),
            "prior": Profile(),
            "rules": Rules(),
            "kinds": {one.key: one for one in (MATING, BITES, OFF_FOOD)},
            **facts,
        }
    )
    if est is not None:
        vars(found)["estimate"] = est
    if actions is not None:
        vars(found)["actions"] = actions
    return found


def seen(number, kind=MATING, male=None, severity=None):
    at = datetime.datetime.combine(on(number), datetime.time(12), tzinfo=datetime.UTC)
    return Sighting(female=MIRA, kind=kind, seen_at=at, male=male, severity=severity)


def with_male(first, last, male=DENEB, **more):
    return Stretch(male, on(first), on(last), **more)


# ------------------------------------------------------------------------------------- its days


def test_a_season_begins_with_the_first_that_says_anything():
    assert season(company=(with_male(5, 9), with_male(3, 4))).since == on(3)
    assert season(company=(with_male(5, 9),), sightings=(seen(4), seen(6))).since == on(4)
    assert season(sightings=(seen(7),)).since == on(7)
    assert season().since is None


def test_a_day_with_two_males_counts_once_and_none_after_today():
    company = (with_male(5, 7), with_male(7, None, ALTAIR))
    assert season(9, company=company).exposed == [on(number) for number in range(5, 10)]


def test_she_is_together_since_the_first_of_those_who_are_still_there_came():
    company = (with_male(1, 4), with_male(8, None, ALTAIR), with_male(6, None))
    assert season(company=company).together_since == on(6)
    assert [one.male for one in season(company=company).with_now] == [ALTAIR, DENEB]
    assert season(company=company[:1]).together_since is None
    assert season(company=company[:1]).with_now == []


def test_the_keepers_period_is_that_of_company_that_goes_on_and_the_first_to_end():
    def planned(first, last, until):
        pair = Pairing(separation_planned_on=on(until))
        return with_male(first, last, pairing=pair)

    company = (planned(1, 4, 8), planned(5, None, 30), planned(6, None, 25), planned(7, None, None))
    assert season(company=(*company, with_male(8, None))).period_over_on == on(25)
    assert season(company=company[:1]).period_over_on is None
    assert season(company=(planned(7, None, None), with_male(8, None))).period_over_on is None


# -------------------------------------------------------------------------- what goes into it


def asked(monkeypatch, name, found, of):
    """What a function of the pure room is given for a season."""
    given = {}

    def noted(*args, **more):
        given.update(more, args=args)
        return "answer"

    monkeypatch.setattr(reading, name, noted)
    assert getattr(found, of) == "answer"
    return given


def test_only_kinds_that_say_something_of_a_mating_go_into_the_estimate(monkeypatch):
    quiet = SignKind(key="following", label="Following", after=0.07, without=0.2)
    sightings = (seen(3, BITES, DENEB), seen(4, OFF_FOOD), seen(5, quiet), seen(6))
    birth, together = Outcome(on=on(1), kind="live_birth"), (with_male(2, 8),)
    found = season(sightings=sightings, company=together, last_outcome=birth)
    given = asked(monkeypatch, "known_estimate", found, "estimate")
    assert [(one.on, one.kind, one.male) for one in given["signs"]] == [
        (on(3), "fresh_bite_marks", 2),
        (on(5), "following", None),
        (on(6), "copulation", None),
    ]
    assert (given["asof"], given["last_birth"], given["birth_on"]) == (on(20), on(1), None)


def test_a_first_season_has_no_birth_before_it(monkeypatch):
    given = asked(monkeypatch, "known_estimate", season(), "estimate")
    assert given["last_birth"] is None


def test_marks_and_refused_meals_go_into_what_is_to_be_done(monkeypatch):
    sightings = (seen(3, BITES), seen(4, BITES, severity=0), seen(5, BITES, severity=3))
    left = seen(6, OFF_FOOD)
    refused = Refusal(left.seen_at, on(6), "seen:1", is_judged=True)
    appetite = Appetite(refusals=(refused,))
    found = season(sightings=(*sightings, left), appetite=appetite, est="estimate")
    given = asked(monkeypatch, "actions", found, "actions")
    # the look of the fourth day found none: what was before it is over
    assert [(one.on, one.severity) for one in given["injuries"]] == [(on(5), 3)]
    assert given["off_food"] == (on(6),)
    assert given["args"] == ("estimate",)


def test_signs_and_males_go_by_the_words_of_the_program():
    sightings = (seen(3, male=ALTAIR), seen(4))
    found = season(sightings=sightings, company=(with_male(1, 2),))
    assert found.labels == {
        "copulation": "mating seen",
        "fresh_bite_marks": "fresh bite marks",
        "off_food": "off her food",
    }
    assert found.males == {2: "Deneb", 3: "Altair"}
    before = season(company_before=(with_male(-9, -1, ALTAIR),), company=(with_male(1, 2),))
    assert before.males == {2: "Deneb", 3: "Altair"}


def test_each_males_days_are_counted_and_those_before_the_last_outcome_up_to_the_day_before_it(
    monkeypatch,
):
    facts = {
        "company": (with_male(10, 11), with_male(14, None), with_male(18, None, ALTAIR)),
        "company_before": (with_male(7, None),),
        "sperm_kept_days": 30,
    }
    found = season(est="estimate", last_outcome=Outcome(on=on(9), kind="live_birth"), **facts)
    given = asked(monkeypatch, "possible_sires", found, "sires")
    estimate, company = given["args"]
    assert estimate == "estimate"
    assert given["sperm_kept_days"] == 30
    days = {male: [(one - START).days for one in those] for male, those in company.items()}
    assert days == {2: [10, 11, 14, 15, 16, 17, 18, 19, 20, 7, 8], 3: [18, 19, 20]}
    assert season().sperm_kept_days == 0


@pytest.mark.parametrize(
    ("born", "uses_the_birth"), [(70, True), (69, False), (110, True), (5, False)]
)
def test_a_birth_four_deviations_too_early_says_nothing_of_the_mating(
    monkeypatch, born, uses_the_birth
):
    """110 - 4 x 10 = 70 days from the first possible mating day, day 0."""
    calls = []

    def reckon(self, asof, *, birth_on=None):
        calls.append((asof, birth_on))
        return SimpleNamespace(mating_distribution=((on(0), on(3)), None))

    monkeypatch.setattr(SeasonReading, "reckon", reckon)
    monkeypatch.setattr(reading, "possible_sires", lambda *_, **__: "sires")
    assert season(60).sires_of_birth(on(born)) == "sires"
    last = min(on(born), on(60))
    assert calls == [(last, None), (last, on(born))][: 1 + uses_the_birth]


def test_with_no_likely_mating_day_the_birth_is_all_there_is_to_go_by(monkeypatch):
    calls = []

    def reckon(self, asof, *, birth_on=None):
        calls.append(birth_on)
        return SimpleNamespace(mating_distribution=((), None))

    monkeypatch.setattr(SeasonReading, "reckon", reckon)
    monkeypatch.setattr(reading, "possible_sires", lambda *_, **__: {})
    assert season(60).sires_of_birth(on(50)) == {}
    assert calls == [None, on(50)]


# --------------------------------------------------------------------------------- in a few words


def state(chance, *kinds, company=()):
    due = tuple(Action(kind, on(9), "due") for kind in kinds)
    return season(est=SimpleNamespace(chance=chance), actions=due, company=company)


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.95, "pregnant, 95 %"),
        (0.94, "probably pregnant, 94 %"),
        (0.75, "probably pregnant, 75 %"),
        (0.74, "rather likely pregnant, 74 %"),
        (0.5, "rather likely pregnant, 50 %"),
        (0.49, "perhaps pregnant, 49 %"),
        (0.2, "perhaps pregnant, 20 %"),
        (0.19, "hardly pregnant, 19 %"),
    ],
)
def test_her_state_is_said_by_her_chance(chance, said):
    assert state(chance).state_words == said


def test_with_a_male_or_past_her_window_the_word_and_the_chance_stand_beside_it():
    together = (with_male(3, None),)
    assert state(0.19, company=together).state_words == "with a male, hardly pregnant, 19 %"
    assert state(0.2, company=together).state_words == "perhaps pregnant, 20 %"
    late = state(0.95, "watch_from", "overdue")
    assert late.state_words == "past her window, pregnant, 95 %"
    assert state(0.95, "watch_from").state_words == "pregnant, 95 %"


@pytest.mark.parametrize(
    ("chance", "kinds", "company", "is_live"),
    [
        (0.01, (), (), True),
        (0.0099, (), (), False),
        (0.0, ("overdue", "nursery_by"), (), True),
        (0.0, ("nursery_by",), (), False),
        (0.0, (), ((3, None),), True),
        (0.0, (), ((3, 4),), False),
    ],
)
def test_a_season_is_followed_while_there_is_company_a_chance_or_a_birth_overdue(
    chance, kinds, company, is_live
):
    found = state(chance, *kinds, company=tuple(with_male(*one) for one in company))
    assert found.is_live is is_live


# ------------------------------------------------------------------------------------- the rules


def test_the_rules_are_those_of_the_program_and_of_the_species():
    program = Program(bred_chance=0.8, planning_chance=0.6, separate_at_severity=2)
    found = rules_of(program, Figures("P. motoro", {"scan_detectable_days": 60.4}))
    assert (found.bred_chance, found.worth_planning_chance, found.severity_limit) == (0.8, 0.6, 2)
    assert (found.worth_settling_chance, found.scan_detectable_days) == (0.2, 60)
    early = rules_of(Program(planning_chance=0.1), Figures("none", {}))
    assert (early.worth_settling_chance, early.scan_detectable_days) == (0.1, 45)
