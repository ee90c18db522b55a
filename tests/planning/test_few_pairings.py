"""Where there is room for few pairings, those are taken that cost the program least."""

import itertools

import numpy as np
import pytest

from breeding.animals import lineage
from breeding.planning.season.plan import season_plan
from breeding.planning.season.readiness import candidates
from breeding.planning.season.solving import worth_of_few
from breeding.planning.season.wishes import Wishes
from breeding.program import clock
from tests import cast

pytestmark = pytest.mark.django_db
WILD = {"pure": "motoro", "born_on": cast.day("2015-05-01"), "origin": "wild"}
BRED = {"born_on": cast.day("2019-05-01")}


@pytest.fixture
def program():
    return cast.the_program()


@pytest.fixture
def related(program):
    """Altair has three young here, Deneb one; Vega and Lyra are kin to neither."""
    altair, deneb = cast.male("Altair", **WILD), cast.male("Deneb", **WILD)
    dams = [cast.female(name, **WILD) for name in ("Rana", "Izar", "Mirach")]
    for number, dam in enumerate(dams):
        cast.female(f"Child {number}", sire=altair, dam=dam, **BRED)
    cast.female("Only", sire=deneb, dam=dams[0], **BRED)
    return [cast.female(name, **WILD) for name in ("Vega", "Lyra")], [altair, deneb]


def plan_of(females, males, program, **wishes):
    today = clock.today()
    found = candidates([*females, *males], program, today=today)
    hers, his = ([found[one.pk] for one in some] for some in (females, males))
    known = lineage.current()
    living = list(known.pedigree.ids)
    return season_plan(hers, his, Wishes(**wishes), known, living, today=today), living


def named(plan):
    return [(row.female.animal.name, row.male.animal.name) for row in plan.rows]


def test_of_two_that_are_no_kin_of_hers_the_one_less_kin_to_the_program_is_taken(related, program):
    """Both give young of F 0; of Altair three young are here already, of Deneb one."""
    females, males = related
    plan, _ = plan_of(females, males, program, diversity=0.5, most_pairings=1)
    assert [male for _, male in named(plan)] == ["Deneb"]


def test_a_litter_costs_what_its_parents_kinship_with_the_living_says(related, program):
    """By hand from the kinship matrix, as the mean over living and young; Lacy 1995, Zoo Biol
    14:565-577 for mean kinship and gene diversity."""
    females, males = related
    plan, living = plan_of(females, males, program, diversity=1.0, most_pairings=1)
    ped = lineage.current().pedigree
    matrix = ped.kinship_matrix(living)
    at = {pk: place for place, pk in enumerate(living)}
    tables, n = plan.tables, len(living)
    worth = worth_of_few(tables.prices, tables.gained, n, plan.litter, 1.0)
    for row, her in enumerate(females):
        for column, him in enumerate(males):
            parents = matrix[[at[her.pk], at[him.pk]]].mean()
            own = (matrix[at[her.pk], at[her.pk]] + matrix[at[him.pk], at[him.pk]]) / 4
            between = own + matrix[at[her.pk], at[him.pk]] / 2
            self_kinship = (1 + matrix[at[her.pk], at[him.pk]]) / 2
            within = (self_kinship + (plan.litter - 1) * between) / plan.litter
            share = plan.litter / (2 * n)
            expected = parents + share * within - matrix.mean() * (1 + share)
            assert worth[row, column] == pytest.approx(expected, abs=1e-12)


@pytest.mark.one_database("a choice among figures that are reckoned already")
@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("room", [1, 2])
def test_no_other_choice_of_as_many_pairs_is_worth_more(seed, room, program):
    """Against every choice there is, in random families of three generations."""
    draw = np.random.default_rng(seed)
    males = [cast.male(f"M{n}", **WILD) for n in range(3)]
    females = [cast.female(f"F{n}", **WILD) for n in range(3)]
    for n in range(4):
        sire, dam = males[draw.integers(len(males))], females[draw.integers(len(females))]
        sex = cast.male if n % 2 else cast.female
        (males if n % 2 else females).append(
            sex(f"Y{n}", sire=sire, dam=dam, born_on=cast.day(f"{2016 + 2 * n}-05-01"))
        )
    plan, living = plan_of(females, males, program, diversity=0.5, most_pairings=room, per_male=1)
    tables = plan.tables
    worth = worth_of_few(tables.prices, tables.gained, len(living), plan.litter, 0.5)
    cells = np.argwhere(tables.allowed).tolist()
    choices = [
        some
        for some in itertools.combinations(cells, room)
        if len({her for her, _ in some}) == len({him for _, him in some}) == room
    ]
    best = min(sum(worth[her, him] for her, him in some) for some in choices)
    names = {name: at for at, name in enumerate(tables.asked.females)}
    sires = {name: at for at, name in enumerate(tables.asked.males)}
    mine = sum(worth[names[her], sires[him]] for her, him in named(plan))
    assert len(plan.rows) == room
    assert mine == pytest.approx(best, abs=1e-9)
