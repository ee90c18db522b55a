"""What closed seasons teach: measured gestations, and how seasons with a sign turned out."""

import datetime
from functools import partial

import pytest
from django.urls import reverse

from breeding.litters.services import PupFacts, record_birth
from breeding.pairings.models import SignKind
from breeding.pairings.season.closed import closed_seasons, sign_records
from breeding.pairings.season.exposure import exposure_of
from breeding.pairings.season.facts import gather
from breeding.pairings.season.learned import learned_of_all
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import open_pairing, record_outcome
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast
from tests.cast import words

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


def test_seasons_with_a_sign_are_counted_by_how_they_ended(owner):
    """Own arithmetic: boost 0.6 expects 1 - exp(-0.6) = 0.451; 4 x 0.451 and 2 of 3."""
    for name, kind in (
        ("A", "live_birth"),
        ("B", "resorbed"),
        ("C", "not_pregnant"),
        ("D", "unknown"),
    ):
        female = cast.female(name)
        see(female, "2025-02-28", "fresh_bite_marks")
        see(female, "2025-03-01", "fresh_bite_marks")
        end(female, "2025-06-07", kind)
    (marks,) = [
        one
        for one in sign_records(closed(), SignKind.objects.all())
        if one.kind.key == "fresh_bite_marks"
    ]
    assert (marks.seasons, marks.pregnant) == (3, 2)
    assert marks.expected == pytest.approx(0.451, abs=0.001)
    assert marks.updated == pytest.approx((4 * marks.expected + 2) / 7)


def test_how_seasons_turned_out_does_not_move_the_estimate(mira):
    see(mira, "2026-05-01")
    before = reckon(mira).estimate.chance
    for name in "ABCDEF":
        female = cast.female(name, pure="motoro")
        see(female, "2025-02-28")
        end(female, "2025-06-07", "not_pregnant")
    assert reckon(mira).estimate.chance == before


def test_signs_says_how_they_turned_out_and_that_it_is_not_used(as_keeper):
    assert "No season with a sign has been closed yet" in words(as_keeper.get(SIGNS))
    dam("Vega", "2025-02-28", "2025-06-07")
    page = words(as_keeper.get(SIGNS))
    assert "Mating: <strong>1 of 1</strong> season with it turned out pregnant" in page
    assert "it is not used in the estimate" in page


def test_sign_changes_what_it_counts_for_and_keeps_the_old_value(as_keeper, mira):
    see(mira, "2026-05-01", "fresh_bite_marks")
    before = reckon(mira).estimate.chance
    kind = SignKind.objects.get(key="fresh_bite_marks")
    address = reverse("pairings:sign", args=[kind.pk])
    assert 'value="0.6"' in words(as_keeper.get(address))
    as_keeper.post(
        address, {"boost": "0.3", "days_back": "3", "certainty": "A", "source": "seen less here"}
    )
    assert reckon(mira).estimate.chance < before
    page = words(as_keeper.get(SIGNS))
    assert "boost 0.6 to 0.3" in page
    assert "that day and 3 before" in page


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"boost": "-1"}, "-1 is not possible here; allowed is from 0 to 10."),
        ({"boost": "1e9"}, "allowed is from 0 to 10."),
        ({"days_back": "31"}, "31 days are not possible here; allowed is from 0 to 30."),
        ({"certainty": "P", "source": ""}, "Say where a published figure"),
    ],
)
def test_sign_refuses_what_cannot_be(as_keeper, typed, said):
    kind = SignKind.objects.get(key="fresh_bite_marks")
    sent = {"boost": "0.6", "days_back": "2", "certainty": "A", "source": ""} | typed
    assert said in words(as_keeper.post(reverse("pairings:sign", args=[kind.pk]), sent))
    kind.refresh_from_db()
    assert (kind.boost, kind.days_back) == (0.6, 2)


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
    assert "from 2 births here and the 110 assumed" in words(as_viewer.get(page))
