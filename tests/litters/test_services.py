"""A birth: what becomes an animal, who its parents are, and what is refused."""

import datetime
from fractions import Fraction
from functools import partial

import pytest
from django.core.exceptions import ValidationError

from breeding.animals import lineage
from breeding.animals.models import Animal
from breeding.animals.parents.descent import descent_of
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import add_measurement, change_state
from breeding.housing.models import Tank
from breeding.housing.services import move_animal
from breeding.litters.models import Litter
from breeding.litters.queries import likely_parents, measured_gestation, pups_of
from breeding.litters.services import PupFacts, add_pup, next_litter_code, record_birth
from breeding.pairings.models import Outcome, SignKind
from breeding.pairings.season.reading import season_of
from breeding.pairings.services import log_sighting
from breeding.program.queries import the_program
from breeding.program.services import withdraw
from tests import cast

pytestmark = pytest.mark.django_db

NOW = datetime.datetime(2026, 11, 1, 12, tzinfo=datetime.UTC)
TODAY = NOW.date()
BORN = cast.day("2026-06-18")


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="leopoldi")


def birth(dam, *pups, on=BORN, **more):
    return record_birth(
        dam=dam, born_on=on, pups=pups or (PupFacts(),), today=TODAY, by=None, **more
    )


pair = partial(cast.pair, today=TODAY)


def mated(female, on, male=None):
    return log_sighting(
        female=female,
        kind=SignKind.objects.get(key="copulation"),
        seen_at=datetime.datetime.fromisoformat(f"{on}T12:00+00:00"),
        now=NOW,
        by=None,
        male=male,
    )


def test_living_pups_become_animals_with_their_parents(mira, deneb):
    litter = birth(
        mira,
        PupFacts(sex="F", disc_width_mm=98, markings=" Broken ring "),
        PupFacts(sex="M"),
        parents=Parents(deneb),
    )
    first, second = Animal.objects.filter(dam=mira).order_by("code")
    assert (litter.code, first.code, second.code) == ("26-01", "26-01-1", "26-01-2")
    assert (first.sire, first.sex, first.origin, first.born_on, first.born_precision) == (
        deneb,
        "F",
        "here",
        BORN,
        "day",
    )
    assert first.markings == "Broken ring"
    assert [(row.on, row.disc_width_mm) for row in first.measurements.all()] == [(BORN, 98)]
    assert second.measurements.count() == 0


def test_dead_pups_are_counted_and_become_no_animals(mira):
    litter = birth(mira, PupFacts(), PupFacts(alive=False), PupFacts())
    assert [pup.alive for pup in litter.pups.all()] == [True, False, True]
    assert [animal.code for animal in Animal.objects.filter(dam=mira)] == ["26-01-1", "26-01-3"]


@pytest.mark.parametrize(
    ("pups", "premature", "kind"),
    [
        ([PupFacts()], False, "live_birth"),
        ([PupFacts(), PupFacts(alive=False)], False, "some_dead"),
        ([PupFacts(alive=False)], False, "some_dead"),
        ([PupFacts()], True, "premature"),
        ([PupFacts(alive=False)], True, "premature"),
    ],
)
def test_the_outcome_says_how_the_birth_went(mira, pups, premature, kind):
    litter = birth(mira, *pups, premature=premature)
    assert litter.outcome.kind == kind
    assert litter.outcome.is_birth
    assert (litter.outcome.female, litter.outcome.on) == (mira, BORN)


def test_litters_are_numbered_within_their_year(mira):
    vega = cast.female("Vega")
    birth(mira)
    birth(vega)
    assert birth(vega, on=cast.day("2025-06-18")).code == "25-01"
    assert [litter.code for litter in Litter.objects.order_by("code")] == [
        "25-01",
        "26-01",
        "26-02",
    ]
    assert next_litter_code(BORN) == "26-03"


@pytest.mark.parametrize("days", [-20, -1, 0, 1, 20])
def test_a_second_birth_within_three_weeks_is_refused_by_name(mira, days):
    birth(mira)
    with pytest.raises(ValidationError) as refused:
        birth(mira, on=BORN + datetime.timedelta(days=days))
    assert refused.value.message_dict["born_on"] == [
        f"Mira has litter 26-01 of 18 June 2026 on record; a second birth "
        f"{abs(days)} {'day' if abs(days) == 1 else 'days'} apart is not possible. Add the pup "
        "there."
    ]
    assert Litter.objects.count() == 1
    assert Outcome.objects.count() == 1


def test_a_second_birth_after_three_weeks_or_of_another_dam_is_taken(mira):
    birth(mira)
    assert birth(mira, on=BORN + datetime.timedelta(days=21)).code == "26-02"
    assert birth(cast.female("Vega")).code == "26-03"


def test_a_litter_has_a_pup_and_not_more_than_sixty(mira):
    with pytest.raises(ValidationError, match="at least one pup"):
        record_birth(dam=mira, born_on=BORN, pups=[], today=TODAY, by=None)
    with pytest.raises(ValidationError, match="61 pups are more than this can take"):
        birth(mira, *[PupFacts()] * 61)
    assert not Outcome.objects.exists()


@pytest.mark.parametrize(
    ("facts", "said"),
    [
        ({"sex": "M"}, "Vega is not recorded as a female"),
        ({"state": "died", "state_on": cast.day("2026-06-01")}, "Vega died on 1 June 2026"),
        (
            {"born_on": cast.day("2026-06-18"), "born_precision": "day"},
            "Vega was born 18 June 2026, not before",
        ),
    ],
)
def test_an_impossible_dam_is_refused_and_nothing_is_kept(owner, facts, said):
    dam = cast.ray("Vega", facts.pop("sex", "F"), **facts)
    with pytest.raises(ValidationError, match=said):
        birth(dam)
    assert not Litter.objects.exists()
    assert not Outcome.objects.exists()
    assert Animal.objects.count() == 1


def test_a_birth_is_not_recorded_ahead_of_time(mira):
    with pytest.raises(ValidationError, match="2 November 2026 is still to come"):
        birth(mira, on=cast.day("2026-11-02"))


def test_an_impossible_sire_is_refused_and_nothing_is_kept(mira):
    with pytest.raises(ValidationError, match="Vega is recorded as a female; a sire must be male"):
        birth(mira, parents=Parents(cast.female("Vega")))
    assert not Litter.objects.exists()


def test_a_birth_begins_a_new_season_that_day(mira, deneb):
    pair(mira, deneb, "2026-03-01", "2026-03-05")
    mated(mira, "2026-03-01")
    program = the_program()
    assert season_of(mira, program, asof=cast.day("2026-06-17")).estimate.chance > 0.5
    birth(mira)
    after = season_of(mira, program, asof=BORN)
    assert (after.since, after.estimate.chance, after.last_outcome.on) == (None, 0, BORN)


def test_pups_take_half_of_their_species_from_each_parent(mira, deneb):
    birth(mira, PupFacts(), parents=Parents(deneb))
    pup = Animal.objects.get(dam=mira)
    shares = lineage.current().shares[pup.pk]
    assert {shares[cast.species(key).pk] for key in ("motoro", "leopoldi")} == {Fraction(1, 2)}
    assert descent_of(pup).species


def test_litter_mates_of_uncertain_sires_share_the_one_sire_they_have(mira, deneb):
    """Whichever of the two he was, he is the sire of both: full siblings, kinship 1/4.

    Full siblings: Lange, Applied Probability, table 5.1.
    """
    altair = cast.male("Altair")
    half = Fraction(1, 2)
    birth(
        mira, PupFacts(), PupFacts(), parents=Parents(None, None, ((deneb, half), (altair, half)))
    )
    one, other = Animal.objects.filter(dam=mira).order_by("code")
    assert [(row.sire, row.share) for row in one.possible_sires.all()] == [
        (deneb, half),
        (altair, half),
    ]
    assert lineage.current().pedigree.kinship(one.pk, other.pk) == 1 / 4


def test_pups_live_where_their_dam_lives(mira):
    pool = Tank.objects.create(name="Boathouse pool")
    move_animal(mira, pool, on=cast.day("2026-01-01"), by=None)
    birth(mira)
    stay = Animal.objects.get(dam=mira).stays.get()
    assert (stay.tank, stay.since) == (pool, BORN)


def test_a_birth_entered_late_puts_the_pups_where_the_dam_is_since_she_is(mira):
    pool = Tank.objects.create(name="Boathouse pool")
    move_animal(mira, pool, on=cast.day("2026-08-01"), by=None)
    birth(mira)
    assert Animal.objects.get(dam=mira).stays.get().since == cast.day("2026-08-01")


# -------------------------------------------------------------------------------- one more pup


def test_one_more_pup_has_the_parents_of_its_mates(mira, deneb):
    litter = birth(mira, PupFacts(), PupFacts(alive=False), parents=Parents(deneb))
    found = add_pup(litter, PupFacts(sex="F"), by=None)
    assert (found.number, found.animal.code, found.animal.sire, found.animal.dam) == (
        3,
        "26-01-3",
        deneb,
        mira,
    )


def test_one_more_pup_has_the_possible_sires_of_its_mates(mira, deneb):
    possible = ((deneb, Fraction(3, 4)), (cast.male("Altair"), Fraction(1, 4)))
    litter = birth(mira, PupFacts(), parents=Parents(None, None, possible))
    found = add_pup(litter, PupFacts(), by=None)
    assert tuple((row.sire, row.share) for row in found.animal.possible_sires.all()) == possible


def test_one_more_pup_of_a_full_or_withdrawn_litter_is_refused(mira):
    litter = birth(mira, *[PupFacts(alive=False)] * 60, sure=cast.SURE)
    with pytest.raises(ValidationError, match="has 60 pups, the most"):
        add_pup(litter, PupFacts(), by=None)
    withdraw(litter, by=None, now=NOW, reason="Another female.")
    with pytest.raises(ValidationError, match="has been withdrawn"):
        add_pup(litter, PupFacts(), by=None)


# ------------------------------------------------------------------------------------ gestation


def test_gestation_is_measured_from_the_mating_that_was_seen(mira, deneb):
    """28 February to 7 June 2003: 99 days (A. Ochs and R. Moll 2003, keepers' record)."""
    pair(mira, deneb, "2003-02-28", "2003-02-28")
    mated(mira, "2003-02-28")
    gestation = measured_gestation(birth(mira, on=cast.day("2003-06-07")), the_program())
    assert (gestation.days, gestation.mated_on) == (99, cast.day("2003-02-28"))
    assert gestation.is_exact


def test_gestation_after_long_company_is_a_span(mira, deneb):
    pair(mira, deneb, "2026-02-01", "2026-03-20")
    gestation = measured_gestation(birth(mira), the_program())
    assert not gestation.is_exact
    # Day 18 June: 137 days after 1 February, 90 days after 20 March; own arithmetic.
    assert 90 <= gestation.shortest < gestation.days < gestation.longest <= 137


def test_gestation_without_company_or_sign_is_not_measured(mira):
    assert measured_gestation(birth(mira), the_program()) is None


def test_gestation_of_a_second_litter_counts_from_the_first_birth(mira, deneb):
    pair(mira, deneb, "2026-01-01")
    first = birth(mira, on=cast.day("2026-04-20"))
    mated(mira, "2026-04-21", deneb)
    second = birth(mira, on=cast.day("2026-08-09"))
    assert measured_gestation(first, the_program()).longest <= 109
    found = measured_gestation(second, the_program())
    assert found.longest <= 111  # 20 April to 9 August; own arithmetic
    assert found.days == 110


# --------------------------------------------------------------------------------- likely sires


def test_one_male_in_company_is_the_sire(mira, deneb):
    pair(mira, deneb, "2026-03-01", "2026-03-05")
    found = likely_parents(mira, the_program(), asof=cast.day("2026-04-01"))
    assert found == Parents(deneb, mira)


def test_two_males_in_company_are_both_possible_and_their_shares_make_one(mira, deneb):
    altair = cast.male("Altair")
    pair(mira, deneb, "2026-03-01", "2026-03-05")
    pair(mira, altair, "2026-03-01", "2026-03-05")
    parents = likely_parents(mira, the_program(), asof=cast.day("2026-04-01"))
    assert parents.sire is None
    assert dict(parents.possible_sires) == {deneb: Fraction(1, 2), altair: Fraction(1, 2)}


@pytest.mark.parametrize("born", ["2026-06-21", "2026-04-01"], ids=["at term", "far too early"])
def test_the_male_that_was_seen_mating_has_the_larger_share(mira, deneb, born):
    altair = cast.male("Altair")
    pair(mira, deneb, "2026-03-01", "2026-03-05")
    pair(mira, altair, "2026-03-01", "2026-03-05")
    mated(mira, "2026-03-03", altair)
    parents = likely_parents(mira, the_program(), asof=cast.day(born))
    shares = dict(parents.possible_sires) or {parents.sire: Fraction(1)}
    assert shares[altair] > Fraction(3, 4)
    assert sum(shares.values()) == 1


def test_nobody_is_guessed_without_company(mira):
    assert likely_parents(mira, the_program(), asof=TODAY) == Parents(None, mira)


# ------------------------------------------------------------------------------ ready to leave


@pytest.mark.parametrize(
    ("age_days", "width_mm", "lacks", "is_better"),
    [
        (41, 130, ("1 more day",), False),
        (42, 129, ("0.1 cm more disc width",), False),
        (42, 130, (), False),
        (55, 150, (), False),
        (56, 150, (), True),
        (10, None, ("32 more days", "a measurement"), False),
    ],
)
def test_a_pup_can_leave_at_six_weeks_and_thirteen_centimetres(
    mira, age_days, width_mm, lacks, is_better
):
    """Not before 6 to 8 weeks and 13 to 15 cm disc width: common practice, no source."""
    litter = birth(mira)
    asof = BORN + datetime.timedelta(days=age_days)
    if width_mm:
        add_measurement(Animal.objects.get(dam=mira), by=None, on=asof, disc_width_mm=width_mm)
    (pup,) = pups_of([litter], asof=asof)[litter.pk]
    assert (pup.lacks, pup.is_ready, pup.is_better) == (lacks, not lacks, is_better)


def test_the_latest_width_counts_whatever_the_order_of_entry(mira):
    litter = birth(mira, PupFacts(disc_width_mm=95))
    animal = Animal.objects.get(dam=mira)
    add_measurement(animal, by=None, on=cast.day("2026-08-20"), disc_width_mm=135)
    add_measurement(animal, by=None, on=cast.day("2026-07-20"), disc_width_mm=110)
    (pup,) = pups_of([litter], asof=cast.day("2026-09-01"))[litter.pk]
    assert (pup.disc_width_mm, pup.measured_on) == (135, cast.day("2026-08-20"))


def test_a_width_of_a_day_unknown_never_says_that_a_pup_may_leave(mira):
    litter = birth(mira, PupFacts(disc_width_mm=95))
    add_measurement(Animal.objects.get(dam=mira), by=None, on=None, disc_width_mm=150)
    (pup,) = pups_of([litter], asof=cast.day("2026-09-01"))[litter.pk]
    assert (pup.disc_width_mm, pup.lacks) == (95, ("3.5 cm more disc width",))


def test_a_pup_stands_in_a_word_as_growing_ready_or_gone(mira):
    litter = birth(mira)
    animal = Animal.objects.get(dam=mira)

    def standing(day):
        (pup,) = pups_of([litter], asof=cast.day(day))[litter.pk]
        return pup.standing

    add_measurement(animal, by=None, on=BORN + datetime.timedelta(days=50), disc_width_mm=150)
    assert standing("2026-07-05") == "growing"
    assert standing("2026-09-30") == "old and large enough to leave"
    change_state(animal, state="left", on=cast.day("2026-09-30"))
    assert standing("2026-09-30") == "left"
