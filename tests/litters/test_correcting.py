"""A birth put right: its day, dam and sires move all that was written with it, and nothing else."""

from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError

from breeding.animals.models import Animal
from breeding.animals.parents.descent import descent_of
from breeding.animals.parents.parentage import Parents
from breeding.animals.services import add_measurement, change_animal, change_state, parents_of
from breeding.housing.models import Stay, Tank
from breeding.housing.services import move_animal
from breeding.litters.births.correcting import correct_birth
from breeding.litters.births.family import family_of
from breeding.litters.births.pups import correct_pup, move_pup, withdraw_pup
from breeding.litters.models import Litter, Pup
from breeding.litters.queries import measured_gestation
from breeding.litters.services import PupFacts, add_pup, record_birth
from breeding.pairings.care.services import tick_apart
from breeding.pairings.season.reading import season_of
from breeding.program.queries import the_program
from tests import cast
from tests.cast import day, pair, see

pytestmark = pytest.mark.django_db

NOW = cast.datetime.datetime(2026, 11, 1, 12, tzinfo=cast.datetime.UTC)
TODAY = NOW.date()
BORN = day("2026-06-18")


@pytest.fixture
def mira(owner):
    return cast.female("Mira", pure="motoro")


@pytest.fixture
def vega(owner):
    return cast.female("Vega", pure="motoro")


@pytest.fixture
def deneb(owner):
    return cast.male("Deneb", pure="motoro")


def birth(dam, *pups, on=BORN, **more):
    return record_birth(
        dam=dam, born_on=on, pups=pups or (PupFacts(),), today=TODAY, by=None, **more
    )


def correct(litter, **changes):
    facts = {"dam": litter.dam, "born_on": litter.born_on, "today": TODAY} | changes
    return correct_birth(Litter.objects.get(pk=litter.pk), **facts)


def animals_of(litter):
    return [pup.animal for pup in Pup.objects.filter(litter=litter).select_related("animal")]


def refusal(litter, **changes):
    with pytest.raises(ValidationError) as refused:
        correct(litter, **changes)
    return refused.value.message_dict


# ------------------------------------------------------------------------------- the day


@pytest.mark.parametrize("right", ["2026-06-10", "2026-06-25"])
def test_the_day_moves_all_that_was_written_with_the_birth_and_the_code_stays(mira, right):
    tank = Tank.objects.create(name="Pool")
    move_animal(mira, tank, on=day("2026-01-01"), by=None)
    litter = birth(mira, PupFacts(disc_width_mm=98), PupFacts(alive=False))
    corrected = correct(litter, born_on=day(right))
    pup = animals_of(litter)[0]
    assert (corrected.code, corrected.born_on, corrected.outcome.on) == (
        "26-01",
        day(right),
        day(right),
    )
    assert (pup.born_on, pup.born_precision, pup.state_on) == (day(right), "day", day(right))
    assert [(row.on, row.disc_width_mm) for row in pup.measurements.all()] == [(day(right), 98)]
    assert [(stay.tank, stay.since) for stay in pup.stays.all()] == [(tank, day(right))]


def test_an_earlier_day_begins_a_stay_only_when_its_dam_was_there(mira):
    tank = Tank.objects.create(name="Pool")
    move_animal(mira, tank, on=day("2026-06-15"), by=None)
    litter = birth(mira)
    correct(litter, born_on=day("2026-06-01"))
    assert Stay.objects.get(animal=animals_of(litter)[0]).since == day("2026-06-15")


def test_a_later_measurement_and_a_later_move_stay_where_they_are(mira):
    for name in ("Pool", "Creek"):
        Tank.objects.create(name=name)
    move_animal(mira, Tank.objects.get(name="Pool"), on=day("2026-01-01"), by=None)
    litter = birth(mira, PupFacts(disc_width_mm=98))
    pup = animals_of(litter)[0]
    add_measurement(pup, by=None, on=day("2026-07-18"), disc_width_mm=120)
    move_animal(pup, Tank.objects.get(name="Creek"), on=day("2026-07-18"), by=None)
    correct(litter, born_on=day("2026-06-20"))
    widths = [(row.on, row.disc_width_mm) for row in pup.measurements.order_by("on")]
    assert widths == [(day("2026-06-20"), 98), (day("2026-07-18"), 120)]
    stays = [(row.tank.name, row.since) for row in pup.stays.order_by("since", "pk")]
    assert stays == [("Pool", day("2026-06-20")), ("Creek", day("2026-07-18"))]


def test_a_day_after_something_happened_to_a_pup_is_refused_by_name(mira):
    litter = birth(mira, PupFacts(disc_width_mm=98))
    pup = animals_of(litter)[0]
    add_measurement(pup, by=None, on=day("2026-06-20"), disc_width_mm=99)
    assert refusal(litter, born_on=day("2026-06-21")) == {
        "born_on": [
            "26-01-1 was measured on 20 June 2026, before 21 June 2026; a pup is born before "
            "anything else happens to it."
        ]
    }
    assert Litter.objects.get().born_on == Animal.objects.get(code="26-01-1").born_on == BORN


@pytest.mark.parametrize("state", ["died", "left"])
def test_a_day_after_a_pup_died_or_left_is_refused_by_name(mira, state):
    litter = birth(mira)
    change_state(animals_of(litter)[0], state=state, on=day("2026-06-20"))
    said = refusal(litter, born_on=day("2026-06-21"))
    assert said["born_on"] == ["20 June 2026 is before 26-01-1 was born (21 June 2026)."]
    assert Stay.objects.count() == 0
    assert Litter.objects.get().outcome.on == BORN


def test_what_was_ticked_after_the_birth_is_not_left_before_it(mira):
    litter = birth(mira)
    tick_apart(litter.outcome, on=day("2026-06-19"), by=None)
    assert "19 June 2026" in refusal(litter, born_on=day("2026-06-20"))["born_on"][0]
    assert correct(litter, born_on=day("2026-06-19")).born_on == day("2026-06-19")


@pytest.mark.parametrize(
    ("on", "said"),
    [
        ("2026-11-02", "2 November 2026 is still to come; today or before."),
        ("2022-05-01", "Vega was born on 1 June 2022, after 1 May 2022."),
        ("2026-03-20", "Vega has litter 26-02 of 1 April 2026 on record; a second birth 12 days"),
    ],
)
def test_a_day_that_cannot_be_is_refused_at_its_field(owner, on, said):
    vega = cast.female("Vega", born_on=day("2022-06-01"))
    litter = birth(vega)
    birth(vega, on=day("2026-04-01"))
    assert refusal(litter, born_on=day(on))["born_on"][0].startswith(said)


# ------------------------------------------------------------------------------- the dam


def test_another_dam_takes_pups_outcome_and_ticks_and_the_first_ones_season_is_open(
    mira, vega, deneb
):
    program = the_program()
    for dam in (mira, vega):
        pair(dam, deneb, "2026-02-01", "2026-02-20", today=TODAY)
    litter = birth(mira, parents=Parents(deneb))
    tick = tick_apart(litter.outcome, on=BORN, by=None)
    open_before = season_of(vega, program, asof=TODAY).company
    assert open_before
    assert not season_of(mira, program, asof=TODAY).company
    corrected = correct(litter, dam=vega)
    tick.refresh_from_db()
    pup = animals_of(litter)[0]
    assert (corrected.outcome.female, tick.female, pup.dam, pup.sire) == (vega, vega, vega, deneb)
    assert season_of(mira, program, asof=TODAY).company
    assert not season_of(vega, program, asof=TODAY).company
    assert season_of(vega, program, asof=TODAY).last_outcome.on == BORN


@pytest.mark.parametrize(
    ("facts", "field", "said"),
    [
        ({"sex": "M"}, "dam", "Altair is not recorded as a female."),
        ({"sex": "U"}, "dam", "Altair is not recorded as a female."),
        (
            {"sex": "F", "state": "died", "state_on": day("2026-05-01")},
            "born_on",
            "Altair died on 1 May 2026; 18 June 2026 is later.",
        ),
        (
            {"sex": "F", "born_on": day("2026-07-01")},
            "born_on",
            "Altair was born on 1 July 2026, after 18 June 2026.",
        ),
    ],
)
def test_a_dam_that_cannot_be_is_refused_at_its_field(mira, facts, field, said):
    litter = birth(mira)
    other = cast.ray("Altair", facts.pop("sex"), **facts)
    assert refusal(litter, dam=other) == {field: [said]}
    assert Litter.objects.get().outcome.female == mira


# ------------------------------------------------------------------------------- the sires


def inbreeding(animal):
    return descent_of(Animal.objects.get(pk=animal.pk)).inbreeding


def test_a_corrected_sire_is_the_sire_of_all_pups_and_their_f_follows(owner):
    """Her brother is the sire: the young have F 1/4; those of the stranger Rigel have 0."""
    parents = {"dam": cast.female("Lyra"), "sire": cast.male("Orion")}
    sister = cast.female("Alcor", **parents)
    brother, rigel = cast.male("Mizar", **parents), cast.male("Rigel")
    litter = birth(sister, PupFacts(), PupFacts(), parents=Parents(brother))
    assert [inbreeding(one) for one in animals_of(litter)] == [0.25, 0.25]
    correct(litter, parents=Parents(rigel))
    assert [one.sire for one in animals_of(litter)] == [rigel, rigel]
    assert [inbreeding(one) for one in animals_of(litter)] == [0, 0]


def test_several_possible_sires_with_their_shares_are_those_of_all_pups(mira, deneb):
    rigel = cast.male("Rigel")
    litter = birth(mira, PupFacts(), PupFacts(), parents=Parents(deneb))
    shares = ((deneb, Fraction(3, 4)), (rigel, Fraction(1, 4)))
    correct(litter, parents=Parents(None, None, shares))
    for pup in animals_of(litter):
        found = parents_of(pup)
        assert (found.sire, dict(found.possible_sires)) == (None, dict(shares))
    family = family_of(Litter.objects.get(pk=litter.pk))
    assert dict(family.possible_sires) == dict(shares)


def test_a_pup_whose_sire_a_test_has_told_is_left_out_when_the_keeper_says_so(mira, vega, deneb):
    rigel, altair = cast.male("Rigel"), cast.male("Altair")
    litter = birth(mira, PupFacts(), PupFacts(), PupFacts(), parents=Parents(deneb))
    tested = animals_of(litter)[1]
    change_animal(tested, parents=Parents(rigel, mira))
    keep = Pup.objects.get(animal=tested).pk
    correct(litter, dam=vega, parents=Parents(altair), keep_theirs={keep})
    assert [one.sire.name for one in animals_of(litter)] == ["Altair", "Rigel", "Altair"]
    assert [one.dam.name for one in animals_of(litter)] == ["Vega", "Vega", "Vega"]
    correct(litter, parents=Parents(altair))
    assert [one.sire.name for one in animals_of(litter)] == ["Altair", "Altair", "Altair"]


def test_nothing_said_of_the_sires_leaves_each_as_it_is(mira, deneb):
    rigel = cast.male("Rigel")
    litter = birth(mira, PupFacts(), PupFacts(), parents=Parents(deneb))
    change_animal(animals_of(litter)[1], parents=Parents(rigel, mira))
    correct(litter, born_on=day("2026-06-19"), note=" One is darker. ", premature=True)
    assert [one.sire for one in animals_of(litter)] == [deneb, rigel]
    corrected = Litter.objects.get()
    assert (corrected.note, corrected.outcome.kind) == ("One is darker.", "premature")


def test_a_sire_that_cannot_be_is_refused_and_nothing_is_changed(mira, vega, deneb):
    litter = birth(mira, PupFacts(), PupFacts(), parents=Parents(deneb))
    said = refusal(litter, parents=Parents(vega), born_on=day("2026-06-19"))
    assert said == {"sire": ["Vega is recorded as a female; a sire must be male."]}
    assert {one.born_on for one in animals_of(litter)} == {BORN}


def test_learned_gestation_follows_the_corrected_day(mira, deneb):
    """A mating on 1 March and a birth on 18 June are 109 days; on 20 June they are 111."""
    program = the_program()
    pair(mira, deneb, "2026-02-28", "2026-03-02", today=TODAY)
    see(mira, day("2026-03-01"), now=NOW)
    litter = birth(mira)
    before = measured_gestation(litter, program)
    after = measured_gestation(correct(litter, born_on=day("2026-06-20")), program)
    assert (after.days - before.days, after.mated_on) == (2, before.mated_on)


# ------------------------------------------------------------------------------- one pup


def pup_of(litter, number):
    return Pup.objects.select_related("litter__dam", "litter__outcome", "animal").get(
        litter=litter, number=number
    )


def correct_one(pup, **facts):
    now = {
        "alive": pup.alive,
        "sex": pup.sex,
        "disc_width_mm": pup.disc_width_mm,
        "markings": pup.markings,
    }
    return correct_pup(pup, PupFacts(**(now | facts)), by=None, now=NOW)


def test_a_pup_written_as_dead_that_lives_becomes_an_animal_with_the_parents_of_its_mates(
    mira, deneb
):
    litter = birth(mira, PupFacts(), PupFacts(alive=False), parents=Parents(deneb))
    assert litter.outcome.kind == "some_dead"
    animal = correct_one(pup_of(litter, 2), alive=True, disc_width_mm=91).animal
    assert (animal.code, animal.dam, animal.sire, animal.born_on) == (
        "26-01-2",
        mira,
        deneb,
        BORN,
    )
    assert [row.disc_width_mm for row in animal.measurements.all()] == [91]
    assert Litter.objects.get().outcome.kind == "live_birth"


def test_a_pup_that_was_stillborn_takes_its_animal_out_and_comes_back_as_the_same(mira, deneb):
    Tank.objects.create(name="Pool")
    move_animal(mira, Tank.objects.get(), on=day("2026-01-01"), by=None)
    litter = birth(mira, PupFacts(), PupFacts(disc_width_mm=98), parents=Parents(deneb))
    before = Animal.objects.get(code="26-01-2")
    pup = correct_one(pup_of(litter, 2), alive=False)
    assert (pup.number, pup.animal, pup.is_withdrawn) == (2, None, False)
    assert not Animal.objects.filter(code="26-01-2").exists()
    assert Animal.every.get(pk=before.pk).withdrawn_reason == "stillborn: 26-01-2"
    assert not Stay.objects.filter(animal=before).exists()
    assert Litter.objects.get().outcome.kind == "some_dead"
    again = correct_one(pup_of(litter, 2), alive=True)
    assert again.animal == before
    assert Stay.objects.filter(animal=before).count() == 1
    assert [row.disc_width_mm for row in Animal.objects.get(pk=before.pk).measurements.all()] == [
        98
    ]


def test_a_pup_with_more_on_record_than_its_birth_was_not_stillborn(mira):
    litter = birth(mira, PupFacts(disc_width_mm=98))
    pup = pup_of(litter, 1)
    add_measurement(pup.animal, by=None, on=day("2026-07-18"), disc_width_mm=120)
    with pytest.raises(ValidationError) as refused:
        correct_one(pup, alive=False)
    assert refused.value.message_dict["fate"] == [
        "26-01-1 was not stillborn on record, because measurement “26-01-1 on 18 July 2026” rests "
        "on it. Withdraw or correct that first."
    ]
    assert Animal.objects.filter(code="26-01-1").exists()


def test_sex_width_and_markings_at_birth_are_those_of_its_animal_while_nothing_else_is_known(mira):
    litter = birth(mira, PupFacts(sex="F", disc_width_mm=98, markings="Ring"), PupFacts(sex="F"))
    correct_one(pup_of(litter, 1), sex="M", disc_width_mm=89, markings="Broken ring")
    animal = Animal.objects.get(code="26-01-1")
    assert (animal.sex, animal.markings) == ("M", "Broken ring")
    assert [row.disc_width_mm for row in animal.measurements.all()] == [89]
    change_animal(Animal.objects.get(code="26-01-2"), sex="M")
    correct_one(pup_of(litter, 2), sex="U")
    assert Animal.objects.get(code="26-01-2").sex == "M"


def test_a_width_that_was_none_is_withdrawn_and_one_that_was_missed_is_added(mira):
    litter = birth(mira, PupFacts(disc_width_mm=98), PupFacts())
    correct_one(pup_of(litter, 1), disc_width_mm=None)
    correct_one(pup_of(litter, 2), disc_width_mm=90)
    widths = {
        one.code: [row.disc_width_mm for row in one.measurements.all()]
        for one in animals_of(litter)
    }
    assert widths == {"26-01-1": [], "26-01-2": [90]}


def test_a_pup_moved_to_another_litter_takes_its_day_dam_and_sires_and_keeps_its_code(
    mira, vega, deneb
):
    rigel = cast.male("Rigel")
    first = birth(mira, PupFacts(), PupFacts(disc_width_mm=98), parents=Parents(deneb))
    second = birth(vega, PupFacts(), on=day("2026-06-15"), parents=Parents(rigel))
    pup = move_pup(pup_of(first, 2), second)
    animal = Animal.objects.get(code="26-01-2")
    assert (pup.litter, pup.number) == (second, 2)
    assert (animal.dam, animal.sire, animal.born_on) == (vega, rigel, day("2026-06-15"))
    assert [row.on for row in animal.measurements.all()] == [day("2026-06-15")]
    assert first.pups.count() == 1


def test_a_pup_found_after_one_was_moved_gets_a_code_of_its_own(mira, vega):
    first = birth(mira, PupFacts(), PupFacts())
    second = birth(vega)
    move_pup(pup_of(first, 2), second)
    assert add_pup(first, PupFacts(), by=None).animal.code == "26-01-3"
    assert add_pup(second, PupFacts(), by=None).animal.code == "26-02-3"


def test_the_only_pup_is_not_moved_or_withdrawn_but_its_litter_corrected(mira, vega):
    first, second = birth(mira), birth(vega)
    for act in (
        lambda: move_pup(pup_of(first, 1), second),
        lambda: withdraw_pup(pup_of(first, 1), by=None, now=NOW, reason="never was"),
    ):
        with pytest.raises(ValidationError, match=r"It is the only pup of litter 26-01\."):
            act()


def test_a_pup_that_never_was_leaves_its_number_to_nobody(mira, owner):
    litter = birth(mira, PupFacts(), PupFacts(), PupFacts(alive=False))
    withdraw_pup(pup_of(litter, 3), by=owner, now=NOW, reason="counted twice")
    assert Litter.objects.get().outcome.kind == "live_birth"
    withdraw_pup(pup_of(litter, 2), by=owner, now=NOW, reason="counted twice")
    assert [one.code for one in animals_of(litter)] == ["26-01-1"]
    assert not Animal.objects.filter(code="26-01-2").exists()
    assert add_pup(litter, PupFacts(), by=None).number == 4
