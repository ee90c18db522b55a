"""Who the sire may be: kept sperm, and what the day of the birth says."""

import datetime
import math
from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from breeding.gestation.estimate import Profile, Sign, estimate
from breeding.gestation.learning import kept_weight, possible_sires
from breeding.litters.queries import likely_parents
from breeding.pairings.models import SignKind
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import log_sighting, record_outcome
from breeding.program.queries import the_program
from tests import cast
from tests.tries import tries

START = datetime.date(2026, 1, 1)
TODAY = cast.day("2026-11-01")


def day(number):
    return START + datetime.timedelta(days=number)


def days(first, last):
    return [day(number) for number in range(first, last + 1)]


def test_the_weight_of_kept_sperm_falls_from_a_half_to_nothing():
    """Own arithmetic, kept for 30 days: 1/2 x (1 - gap/31)."""
    his = [day(number).toordinal() for number in (0, 1, 2)]
    weights = [kept_weight(his, day(2 + gap).toordinal(), 30) for gap in (1, 15, 30, 31, 400)]
    assert weights == pytest.approx([0.5 * 30 / 31, 0.5 * 16 / 31, 0.5 / 31, 0, 0])
    assert kept_weight(his, day(-1).toordinal(), 30) == 0
    assert kept_weight(his, day(3).toordinal(), 0) == 0


def test_a_male_that_left_ten_days_before_shares_in_a_mating_nobody_named():
    """Own arithmetic: one possible day; 1 against 1/2 x (1 - 10/31)."""
    est = estimate(exposed=[day(40)], asof=day(60))
    company = {"Deneb": [day(40)], "Altair": days(20, 30)}
    shares = possible_sires(est, company, sperm_kept_days=30)
    kept = 0.5 * (1 - 10 / 31)
    assert shares["Altair"] == pytest.approx(kept / (1 + kept))
    assert possible_sires(est, company) == {"Deneb": 1}
    assert possible_sires(est, company, sperm_kept_days=9) == {"Deneb": 1}


def test_a_named_mating_counts_for_him_alone_whoever_left_before():
    est = estimate(exposed=[], signs=[Sign(day(40), "copulation", "Deneb")], asof=day(60))
    company = {"Altair": days(20, 39)}
    assert possible_sires(est, company, sperm_kept_days=30) == {"Deneb": 1}


def test_a_mating_seen_with_nobody_on_record_falls_to_the_one_who_left_before():
    est = estimate(exposed=[], signs=[Sign(day(40), "copulation")], asof=day(60))
    assert possible_sires(est, {"Altair": days(20, 30)}, sperm_kept_days=30) == {"Altair": 1}


def test_the_birth_day_tells_two_companies_apart():
    """With Altair on days 0-9 and Deneb on days 60-69; gestation 110 +- 10, born on day 175.

    Own arithmetic: Bayes' rule day by day with the normal density from math.exp.
    """
    exposed = days(0, 9) + days(60, 69)
    est = estimate(exposed=exposed, asof=day(175), birth_on=day(175))
    rate, mass = 1 / 60, {}
    for place, on in enumerate([*range(10), *range(60, 70)]):
        first = math.exp(-rate * place) * (1 - math.exp(-rate))
        mass[on] = first * math.exp(-0.5 * ((175 - on - 110) / 10) ** 2)
    altair = sum(mass[on] for on in range(10)) / sum(mass.values())
    shares = possible_sires(est, {"Altair": days(0, 9), "Deneb": days(60, 69)})
    # The model puts the normal on whole days (from half a day before to half a day after).
    assert shares.get("Altair", 0) == pytest.approx(altair, abs=1e-4)
    assert est.chance == 1
    assert est.due.as_tuple() == (day(175),) * 5


def test_a_birth_that_no_day_on_record_can_have_led_to_names_nobody():
    est = estimate(exposed=days(0, 9), asof=day(500), birth_on=day(500))
    assert (est.chance, est.due, possible_sires(est, {"Altair": days(0, 9)})) == (0, None, {})


@settings(deadline=None, max_examples=tries(60))
@given(
    st.lists(st.integers(0, 120), min_size=1, max_size=30),
    st.dictionaries(st.sampled_from("ABCD"), st.lists(st.integers(0, 120), max_size=20)),
    st.integers(0, 60),
    st.integers(60, 220),
)
def test_shares_are_shares_and_sum_to_one(exposed, company, kept, birth):
    est = estimate(exposed=[day(n) for n in exposed], asof=day(birth), birth_on=day(birth))
    males = {male: [day(n) for n in there] for male, there in company.items()}
    shares = possible_sires(est, males, sperm_kept_days=kept)
    assert all(0 < share <= 1 + 1e-12 for share in shares.values())
    assert sum(shares.values()) == pytest.approx(1 if shares else 0)


@settings(deadline=None, max_examples=tries(60))
@given(st.lists(st.integers(0, 90), min_size=1, max_size=30), st.integers(95, 260))
def test_the_mating_days_of_a_birth_are_bayes_rule(exposed, birth):
    """Own arithmetic: the announced mating days, each times the chance of that gestation."""
    profile = Profile(gestation_sd_days=15)
    plain = estimate(exposed=[day(n) for n in exposed], profile=profile, asof=day(94))
    est = estimate(
        exposed=[day(n) for n in exposed], profile=profile, asof=day(birth), birth_on=day(birth)
    )

    def mass(k):
        return 0.5 * (
            math.erf((k + 0.5 - 110) / 15 / math.sqrt(2))
            - math.erf((k - 0.5 - 110) / 15 / math.sqrt(2))
        )

    prior = dict.fromkeys(sorted({day(n) for n in exposed}), 0.0)
    for place, on in enumerate(prior):
        prior[on] = math.exp(-place / 60) * mass((day(birth) - on).days)
    total = sum(prior.values())
    assert plain.chance > 0
    if total > 1e-9:
        found = dict(zip(*est.mating_distribution, strict=True))
        for on, share in prior.items():
            assert found.get(on, 0) == pytest.approx(share / total, abs=1e-6)


# ------------------------------------------------------------------------------ from the rows


pytestmark = pytest.mark.django_db


pair = partial(cast.pair, today=TODAY)


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def test_a_birth_entered_months_late_still_has_its_sire(mira, deneb):
    pair(mira, deneb, "2026-03-01", "2026-03-10")
    program = the_program()
    assert season_of(mira, program, asof=TODAY).sires == {}
    assert likely_parents(mira, program, asof=cast.day("2026-06-25")).sire == deneb


def test_sperm_kept_over_a_birth_counts_in_the_next_season(mira, deneb):
    """With Deneb until five days before the outcome; then three days with Altair."""
    altair = cast.male("Altair", pure="motoro")
    pair(mira, deneb, "2026-03-01", "2026-03-10")
    record_outcome(female=mira, on=cast.day("2026-03-15"), kind="unknown", today=TODAY, by=None)
    pair(mira, altair, "2026-03-20", "2026-03-22")
    season = season_of(mira, the_program(), asof=cast.day("2026-05-01"))
    assert len(season.exposed) == 3
    shares = {season.males[pk]: share for pk, share in season.sires.items()}
    assert sum(shares.values()) == pytest.approx(1)
    # Gaps of 10, 11 and 12 days: about 1/2 x (1 - 11/31) = 0.32 against 1.
    assert shares["Deneb"] == pytest.approx(0.32 / 1.32, abs=0.01)


def test_the_birth_says_that_the_one_who_came_last_is_not_the_sire(mira, deneb):
    altair = cast.male("Altair", pure="motoro")
    pair(mira, altair, "2026-03-01", "2026-03-20")
    pair(mira, deneb, "2026-06-01")
    log_sighting(
        female=mira,
        kind=SignKind.objects.get(key="copulation"),
        seen_at=datetime.datetime(2026, 6, 15, 12, tzinfo=datetime.UTC),
        now=datetime.datetime(2026, 11, 1, tzinfo=datetime.UTC),
        by=None,
        male=deneb,
    )
    assert likely_parents(mira, the_program(), asof=cast.day("2026-07-01")).sire == altair
