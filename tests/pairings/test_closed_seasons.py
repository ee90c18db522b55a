"""What closed seasons teach: measured gestations, and how often signs are seen."""

import datetime
from functools import partial

import pytest
from django.urls import reverse

from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.mending.corrections import change_outcome, change_sighting
from breeding.pairings.models import SignKind
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import gather
from breeding.pairings.season.past.closed import closed_seasons
from breeding.pairings.season.past.learned import learned_of_all, signs_of_closed
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import open_pairing, record_outcome
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast
from tests.cast import pair, words

pytestmark = pytest.mark.django_db
NOW = datetime.datetime(2026, 11, 1, 12, tzinfo=datetime.UTC)
TODAY = NOW.date()
SIGNS = reverse("pairings:signs")


see = partial(cast.see, now=NOW)


def end(female, on, kind):
    return record_outcome(female=female, on=cast.day(on), kind=kind, today=TODAY, by=None)


def birth(female, on):
    return record_birth(dam=female, born_on=cast.day(on), pups=[PupFacts()], today=TODAY, by=None)


def dam(name, mated, born, **facts):
    female = cast.female(name, **({"pure": "motoro"} | facts))
    see(female, mated)
    birth(female, born)
    return female


def closed():
    facts = gather()
    return closed_seasons(facts, exposure_of(facts.together))


def learned():
    facts = gather()
    return learned_of_all(closed(), facts.profiles.every, facts.kinds, asof=TODAY)


def reckon(female, on="2026-06-01"):
    return season_of(female, the_program(), asof=cast.day(on))


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


def test_a_birth_with_a_narrow_mating_day_moves_the_figures_of_her_species(mira):
    """Own arithmetic: prior 110 with sd 7, record 99 with sd 10."""
    dam("Vega", "2025-02-28", "2025-06-07")
    season = reckon(mira)
    by_hand = (110 / 49 + 99 / 100) / (1 / 49 + 1 / 100)
    assert season.profile.gestation_mean_days == pytest.approx(by_hand)
    assert (season.births_here, season.prior.gestation_mean_days) == (1, 110)


def test_each_species_learns_from_its_own(mira):
    dam("Vega", "2025-02-28", "2025-06-07", pure="leopoldi")
    assert reckon(mira).births_here == 0


def test_a_past_day_is_reckoned_from_the_births_up_to_it(mira):
    dam("Vega", "2025-02-28", "2025-06-07")
    assert reckon(mira, "2025-06-06").births_here == 0
    assert reckon(mira, "2025-06-07").births_here == 1


def test_long_company_measures_nothing(mira, owner):
    vega = cast.female("Vega", pure="motoro")
    open_pairing(
        female=vega,
        male=cast.male("Deneb"),
        introduced_on=cast.day("2025-01-01"),
        separated_on=cast.day("2025-03-31"),
        program=the_program(),
        by=None,
        today=TODAY,
    )
    birth(vega, "2025-06-07")
    assert reckon(mira).births_here == 0


@pytest.mark.parametrize("kind", ["premature", "not_pregnant", "resorbed", "unknown"])
def test_only_a_whole_term_measures_it(mira, kind):
    vega = cast.female("Vega", pure="motoro")
    see(vega, "2025-02-28")
    end(vega, "2025-06-07", kind)
    assert reckon(mira).births_here == 0


def test_a_gap_in_the_records_is_no_gestation_and_is_named(mira):
    """400 days after the only mating on record: the one that led to it was not seen."""
    dam("Vega", "2024-05-03", "2025-06-07")
    assert reckon(mira).births_here == 0
    _, found = learned()["motoro"]
    assert [(one.days, one.is_likely) for one in found] == [(400, False)]


def test_a_withdrawn_birth_or_sighting_teaches_no_more(mira):
    vega = cast.female("Vega", pure="motoro")
    seen = see(vega, "2025-02-28")
    birth(vega, "2025-06-07")
    assert reckon(mira).births_here == 1
    withdraw(seen, by=None, now=NOW, reason="It was Izar.")
    assert reckon(mira).births_here == 0


def test_a_corrected_sighting_and_a_corrected_birth_teach_what_they_say_now(mira):
    """Own arithmetic as above: 99 days first, 95 with the mating later, 99 with the birth too."""
    vega = cast.female("Vega", pure="motoro")
    seen = see(vega, "2025-02-28")
    end = record_outcome(
        female=vega, on=cast.day("2025-06-07"), kind="live_birth", today=TODAY, by=None
    )

    def by_hand(days):
        return pytest.approx((110 / 49 + days / 100) / (1 / 49 + 1 / 100))

    assert reckon(mira).profile.gestation_mean_days == by_hand(99)
    change_sighting(
        seen,
        female=vega,
        kind=seen.kind,
        seen_at=seen.seen_at + datetime.timedelta(days=4),
        now=NOW,
        by=None,
    )
    assert reckon(mira).profile.gestation_mean_days == by_hand(95)
    change_outcome(end, kind="live_birth", on=cast.day("2025-06-11"), today=TODAY)
    assert reckon(mira).profile.gestation_mean_days == by_hand(99)
    change_outcome(end, kind="unknown", on=cast.day("2025-06-11"), today=TODAY)
    assert reckon(mira).births_here == 0


def test_the_second_season_begins_with_the_first_birth(mira):
    vega = dam("Vega", "2024-02-28", "2024-06-07")
    see(vega, "2024-08-01")
    birth(vega, "2024-11-19")
    assert [(one.since, one.on) for one in closed()] == [
        (None, cast.day("2024-06-07")),
        (cast.day("2024-06-07"), cast.day("2024-11-19")),
    ]
    _, found = learned()["motoro"]
    assert [one.days for one in found] == [100, 110]


def taught():
    facts = gather()
    found = closed_seasons(facts, exposure_of(facts.together))
    return signs_of_closed(found, facts.kinds, facts.profiles.unknown, asof=TODAY)


def row(key):
    return next(one for one in taught().rows if one.label == SignKind.objects.get(key=key).label)


def test_signs_are_counted_in_births_with_a_known_mating_and_in_seasons_without_pregnancy(owner):
    """Own arithmetic: a day looked at is a third of its window; the other ends teach nothing."""
    for name, kind in (("A", "resorbed"), ("B", "unknown"), ("C", "not_pregnant")):
        female = cast.female(name, pure="motoro")
        see(female, "2025-02-28")
        end(female, "2025-06-07", kind)
    dam("Vega", "2025-02-28", "2025-06-07")
    found = taught()
    assert (found.births, found.empty) == (1, 1)
    mating = row("copulation")
    assert mating.after == pytest.approx(1 / 3)
    assert mating.without == pytest.approx(1 / 9)


def test_matings_that_came_to_nothing_lower_the_chance_of_the_next(mira):
    """Own arithmetic: without a mating 20 x 0.0012 + 6 / 9 of 20 + 6 / 9 windows."""
    see(mira, "2026-05-01")
    before = reckon(mira).estimate.chance
    for name in "ABCDEF":
        female = cast.female(name, pure="motoro")
        see(female, "2025-02-28")
        end(female, "2025-06-07", "not_pregnant")
    season = reckon(mira)
    without = (20 * 0.0012 + 6 / 9) / (20 + 6 / 9)
    assert season.profile.signs["copulation"] == pytest.approx((0.25, without))
    assert season.prior.signs["copulation"] == (0.25, 0.0012)
    assert season.estimate.chance < before


def test_what_came_after_a_day_teaches_nothing_of_it(mira):
    see(mira, "2026-05-01")
    before = reckon(mira).profile
    vega = cast.female("Vega", pure="motoro")
    see(vega, "2026-03-01")
    end(vega, "2026-06-07", "not_pregnant")
    assert reckon(mira).profile == before


def test_signs_says_how_often_each_is_seen_and_what_was_learned(as_keeper):
    page = words(as_keeper.get(SIGNS))
    assert "No season has been closed yet from which the program could learn" in page
    assert (
        "<strong>Fresh bite marks</strong>: seen after 40 of 100 matings, and in 4 or 5 of 100 "
        "such days without" in page
    )
    assert "<strong>Off food</strong>: says nothing of a mating" in page
    dam("Vega", "2025-02-28", "2025-06-07")
    page = words(as_keeper.get(SIGNS))
    assert "From 1 birth here whose mating day is known, and 0 seasons" in page
    assert "Mating: <strong>seen after 26 of 100 matings, and in 1 of 1,000 such" in page


def test_sign_changes_how_often_it_is_seen_and_keeps_the_old_value(as_keeper, mira):
    pair(mira, cast.male("Deneb"), "2026-04-20", "2026-05-10")
    see(mira, "2026-05-01", "fresh_bite_marks")
    before = reckon(mira).estimate.chance
    kind = SignKind.objects.get(key="fresh_bite_marks")
    address = reverse("pairings:sign", args=[kind.pk])
    assert 'value="40"' in words(as_keeper.get(address))
    sent = {"after_of_100": "30", "without_of_100": "6", "certainty": "A", "source": "seen less"}
    as_keeper.post(address, sent)
    assert reckon(mira).estimate.chance < before
    page = words(as_keeper.get(SIGNS))
    assert "after a mating 40 of 100 to 30 of 100" in page
    assert "seen after 30 of 100 matings, and in 6 of 100 such days without" in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"after_of_100": "-1"}, "-1 is not possible here; allowed is from 0.001 to 99 of 100."),
        ({"without_of_100": "1000000000"}, "allowed is from 0.001 to 99 of 100."),
        ({"after_of_100": "60"}, "60 is too much: with the other kinds, 50 of 100"),
        ({"after_of_100": ""}, "Say both figures, or neither."),
        ({"certainty": "P", "source": ""}, "Say where a published figure"),
    ],
)
def test_sign_refuses_what_cannot_be(as_keeper, typed, said):
    kind = SignKind.objects.get(key="fresh_bite_marks")
    sent = {"after_of_100": "40", "without_of_100": "4.5", "certainty": "A", "source": ""} | typed
    assert said in words(as_keeper.post(reverse("pairings:sign", args=[kind.pk]), sent))
    kind.refresh_from_db()
    assert kind.shares == (0.40, 0.045)


def test_a_sign_without_figures_says_nothing_of_a_mating(as_keeper, mira):
    kind = SignKind.objects.get(key="following")
    sent = {"after_of_100": "", "without_of_100": "", "certainty": "A", "source": ""}
    as_keeper.post(reverse("pairings:sign", args=[kind.pk]), sent)
    see(mira, "2026-05-01", "following")
    season = reckon(mira)
    assert "following" not in season.profile.signs
    assert season.testimony.signs == ()


def test_sign_is_for_keepers(as_viewer):
    kind = SignKind.objects.get(key="copulation")
    assert as_viewer.get(reverse("pairings:sign", args=[kind.pk])).status_code == 403
    assert "Change</a>" not in words(as_viewer.get(SIGNS))


def test_the_species_page_shows_what_was_assumed_and_what_was_learned(as_viewer):
    dam("Vega", "2025-02-28", "2025-06-07")
    page = words(as_viewer.get(reverse("animals:species")))
    assert "Gestation from 1 birth here: <strong>106.4 days, give or take 10</strong>" in page
    assert "99 days, born" in page


def test_her_page_says_from_how_many_births_the_figures_come(as_viewer, mira):
    see(mira, "2026-05-01")
    page = reverse("pairings:female", args=[mira.pk])
    assert "no birth here has measured it yet" in words(as_viewer.get(page))
    for name, mated, born in (
        ("Vega", "2025-02-28", "2025-06-07"),
        ("Izar", "2025-03-01", "2025-06-20"),
    ):
        dam(name, mated, born)
    assert "from 2 births here and the 110 days assumed" in words(as_viewer.get(page))
