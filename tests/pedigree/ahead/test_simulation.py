"""Simulated years against what is known of drift and inbreeding, and a plain second simulator."""

import math
import random
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from pedigree import LineageError, Pedigree
from pedigree.ahead.assumptions import AS_NOW, Assumptions, Policy
from pedigree.ahead.outlook import look_ahead
from pedigree.ahead.simulation import (
    FEMALE,
    FIGURES,
    MALE,
    UNKNOWN_SEX,
    SimulatedProgram,
    dropped_genes,
    start_of,
)
from tests.pedigree import published

# Everybody breeds at one year and dies after it: generations do not overlap.
ONE_YEAR = Assumptions(
    females_paired=1, first_breeding_female=1, first_breeding_male=1, deaths_first_year=0,
    deaths_grown=1, departures_young=0, departures_grown=0, litters_per_pair=1,
)  # fmt: skip


def rng(seed=1):
    return np.random.default_rng(seed)


def unrelated(females, males, age_years=1.0):
    names = [f"f{n}" for n in range(females)] + [f"m{n}" for n in range(males)]
    ped = Pedigree.from_rows([(name, None, None) for name in names])
    return start_of(
        ped,
        names,
        females=names[:females],
        males=names[females:],
        age_years=dict.fromkeys(names, age_years),
    )


def test_a_program_of_one_pair_a_year_is_full_sib_mating():
    """F of continued full-sib mating: Wright 1921, Genetics 6:124-143; fixtures/published."""
    wanted = published.values("full_sib_mating")["F"]
    a = replace(ONE_YEAR, places=2, years=6, replicates=300, young_per_litter=30, loci=1)
    outlook = look_ahead(unrelated(1, 1), rng(), a, [AS_NOW])
    young = outlook.replicates("as_now", "inbreeding_of_young")
    assert np.isnan(young[:, 0]).all()
    for year in range(1, 6):
        there = young[~np.isnan(young[:, year]), year]
        assert len(there) > 0
        assert set(there.tolist()) == {float(Fraction(wanted[f"{year}m"]))}
    # Of two full sibs with F and kinship f between them, 1 - (1 + F + 2 f) / 4 is left.
    kept = outlook.replicates("as_now", "gene_diversity")[:, 2]
    assert set(kept.tolist()) == {0.0, 1 - (1 + 1 / 4 + 2 * 3 / 8) / 4}


def test_random_mating_loses_diversity_at_wrights_rate():
    """Two males and six females a generation, parents drawn anew for each of the young.

    Mean kinship within and between animals by Wright 1931, Genetics 16:97-159: two of the young
    have the same sire with chance 1/2, the same dam with chance 1/6. In the long run 1/(2 Ne) of
    the diversity is lost in each generation, where Ne = 4 x 2 x 6 / (2 + 6) = 6.
    """
    males, females, generations = 2, 6, 8
    inbreeding, between = 0.0, 0.0
    wanted = []
    for _ in range(generations):
        itself = (1 + inbreeding) / 2
        same = sum(itself / n + between * (1 - 1 / n) for n in (males, females))
        inbreeding, between = between, same / 4 + between / 2
        wanted.append(inbreeding)
    start = unrelated(females, males)
    found = np.zeros((400, generations))
    for seed, row in enumerate(found):
        chance = rng(seed)
        program = SimulatedProgram.begun(start, replace(ONE_YEAR, loci=1), chance)
        is_female = np.arange(males + females) < females
        for generation in range(generations):
            dams = chance.choice(np.flatnonzero(program.is_female), males + females)
            sires = chance.choice(np.flatnonzero(~program.is_female), males + females)
            program = program.with_young(np.empty(0, np.int64), dams, sires, is_female, chance)
            row[generation] = program.figures(math.nan)[1]
    error = found.std(axis=0) / math.sqrt(len(found))
    assert (np.abs(found.mean(axis=0) - wanted) <= 4 * error).all()
    rate = 1 - (1 - wanted[-1]) / (1 - wanted[-2])
    assert rate == pytest.approx(1 / (2 * 6.5), rel=0.01)  # Wright: Ne is about half an animal more


def test_genes_of_a_pair_get_lost_as_often_as_coins_say():
    """Each of four genes misses all of three young with chance 1/8; 4 x 7/8 / 2 genomes stay."""
    a = replace(ONE_YEAR, loci=10_000)
    program = SimulatedProgram.begun(unrelated(1, 1), a, rng())
    parents = np.zeros(3, np.int64)
    young = program.with_young(
        np.empty(0, np.int64), parents, parents + 1, np.array([True, True, False]), rng(2)
    )
    figures = dict(zip(FIGURES, young.figures(math.nan), strict=True))
    assert figures["founder_genomes_surviving"] == pytest.approx(1.75, abs=0.02)
    assert (figures["living"], figures["inbreeding"]) == (3, 0)
    # Three full sibs: 1/2 with themselves, 1/4 with each other.
    assert figures["gene_diversity"] == 1 - (3 / 2 + 6 / 4) / 9
    assert figures["founder_genomes"] == 1 / (2 / 3)
    # Each of the young has one gene of its dam and one of its sire at every locus.
    of_dam = np.isin(young.genes, program.genes[0]).sum(axis=1)
    assert (of_dam == 1).all()


# ---- the same years once more, animal by animal --------------------------------------------------

OVERLAPPING = Assumptions(
    years=5, replicates=1, females_paired=0.7, most_females_per_male=2, litters_per_pair=1.4,
    young_per_litter=2.5, females_at_birth=0.6, first_breeding_female=2, first_breeding_male=1,
    last_breeding=5, deaths_first_year=0.25, deaths_grown=0.15, departures_young=0.35,
    departures_grown=0.1, places=16, loci=4,
)  # fmt: skip


def _poisson(mean, chance):
    limit, count, product = math.exp(-mean), 0, chance.random()
    while product > limit:
        count, product = count + 1, product * chance.random()
    return count


def _plain_years(animals, a, new_pairs, chance):
    """Lists of (is_female, age, pairs of genes), one list a year, and homozygosity of the young."""
    history, of_young = [animals], [math.nan]
    for year in range(1, a.years + 1):
        for number in range(new_pairs.get(year, 0)):
            for sex in (True, False):
                age = a.first_breeding_female if sex else a.first_breeding_male
                genes = [((year, number, sex, 0), (year, number, sex, 1))] * a.loci
                animals = [*animals, (sex, age, genes)]
        females = [x for x in animals if x[0] and a.first_breeding_female <= x[1] < a.last_breeding]
        males = [x for x in animals if not x[0] and a.first_breeding_male <= x[1] < a.last_breeding]
        count = sum(chance.random() < a.females_paired for _ in females)
        dams = chance.sample(females, count)
        sires = chance.sample(males * a.most_females_per_male, len(males) * a.most_females_per_male)
        born = []
        for dam, sire in zip(dams, sires, strict=False):
            litters = int(a.litters_per_pair) + (chance.random() < a.litters_per_pair % 1)
            for _ in range(litters):
                for _ in range(1 + _poisson(a.young_per_litter - 1, chance)):
                    genes = [
                        (chance.choice(x), chance.choice(y))
                        for x, y in zip(sire[2], dam[2], strict=True)
                    ]
                    born.append((chance.random() < a.females_at_birth, 0, genes))
        like = [x == y for _, _, genes in born for x, y in genes]
        of_young.append(sum(like) / len(like) if like else math.nan)
        kept = [
            x
            for x in animals
            if chance.random() >= a.deaths_grown and chance.random() >= a.departures_grown
        ]
        staying = [
            x
            for x in born
            if chance.random() >= a.deaths_first_year and chance.random() >= a.departures_young
        ]
        room = max(0, a.places - len(kept))
        kept += chance.sample(staying, min(room, len(staying)))
        animals = [(sex, age + 1, genes) for sex, age, genes in kept]
        history.append(animals)
    return history, of_young


def _plain_figures(animals, loci):
    """Living, females, mean age, homozygosity, gene diversity and genomes left, gene by gene."""
    if not animals:
        return [0, 0, math.nan, math.nan, 0, 0]
    diversity = genomes = 0
    for locus in range(loci):
        genes = [gene for animal in animals for gene in animal[2][locus]]
        diversity += (1 - sum((genes.count(g) / len(genes)) ** 2 for g in set(genes))) / loci
        genomes += len(set(genes)) / 2 / loci
    alike = np.mean([x == y for animal in animals for x, y in animal[2]])
    female = sum(animal[0] for animal in animals)
    return [len(animals), female, np.mean([x[1] for x in animals]), alike, diversity, genomes]


@pytest.fixture(scope="module")
def both_ways():
    """Years simulated by the package and by the lines above: (replicates, years + 1, figures)."""
    a, times = OVERLAPPING, 500
    policy = Policy("new", "One new pair in year three", "random", ((3, 1),))
    start = unrelated(4, 3, age_years=1.0)
    ours, plain = [], []
    for seed in range(times):
        chance = rng(seed)
        program = SimulatedProgram.begun(start, a, chance)
        rows = []
        young = math.nan
        for year in range(a.years + 1):
            if year:
                program, young = program.year(year, policy, a, chance)
            living, alike, diversity, _, genomes, _ = program.figures(young)
            age = program.age_years.mean() if len(program) else math.nan
            rows.append([living, program.is_female.sum(), age, alike, diversity, genomes, young])
        ours.append(rows)
        second = random.Random(seed)
        animals = [(n < 4, 1.0, [((n, 0), (n, 1))] * a.loci) for n in range(7)]
        history, of_young = _plain_years(animals, a, {3: 1}, second)
        plain.append(
            [[*_plain_figures(x, a.loci), f] for x, f in zip(history, of_young, strict=True)]
        )
    return np.array(ours), np.array(plain)


@pytest.mark.parametrize(
    ("number", "figure"),
    list(enumerate(["living", "females", "age", "inbreeding", "diversity", "genomes", "young F"])),
)
def test_a_plain_simulator_of_single_animals_comes_to_the_same(both_ways, number, figure):
    first = 2 if figure == "young F" else 1  # those of the first year have unrelated parents
    ours, plain = (some[:, first:, number] for some in both_ways)
    error = np.sqrt(
        np.nanvar(ours, axis=0) / (~np.isnan(ours)).sum(axis=0)
        + np.nanvar(plain, axis=0) / (~np.isnan(plain)).sum(axis=0)
    )
    apart = np.abs(np.nanmean(ours, axis=0) - np.nanmean(plain, axis=0))
    assert (apart <= 3.5 * error + 1e-12).all(), (figure, apart / error)
    np.testing.assert_allclose(*(some[:, 0, :6] for some in both_ways), rtol=0, atol=1e-12)


# ---- single steps, by hand -----------------------------------------------------------------------


def family(**changes):
    """Two sisters and their brother, and a male from elsewhere; kinship by hand."""
    rows = [("A", None, None), ("B", None, None), ("F1", "A", "B"), ("F2", "A", "B")]
    ped = Pedigree.from_rows([*rows, ("M1", "A", "B"), ("M2", None, None)])
    start = start_of(
        ped, ["F1", "F2", "M1", "M2"], females=["F1", "F2"], males=["M1", "M2"], age_years={}
    )
    return SimulatedProgram.begun(start, replace(ONE_YEAR, **changes), rng())


FEMALES, MALES = np.array([0, 1]), np.array([2, 3])


def paired(program, how, count, seed=1, females=FEMALES, males=MALES, **changes):
    a = replace(ONE_YEAR, **changes)
    dams, sires = program.pairs(how, females, males, count, a, rng(seed))
    return sorted(zip(dams.tolist(), sires.tolist(), strict=True))


def test_the_sisters_go_to_the_male_from_elsewhere_when_he_has_room():
    program = family()
    for how in ("lowest", "plan"):
        assert paired(program, how, 2, most_females_per_male=2, diversity=0) == [(0, 3), (1, 3)]
        assert len(paired(program, how, 1, most_females_per_male=1, diversity=0)) == 1
        one_each = paired(program, how, 2, most_females_per_male=1)
        assert sorted(sire for _, sire in one_each) == [2, 3]
        assert [dam for dam, _ in one_each] == [0, 1]


def test_a_limit_of_f_holds_for_the_limit_itself():
    program = family()  # F 1/4 by the brother, 0 by the other
    for how in ("lowest", "plan"):
        at_limit = paired(program, how, 2, most_females_per_male=1, most_inbreeding=0.25)
        assert len(at_limit) == 2
        below = paired(program, how, 2, most_females_per_male=1, most_inbreeding=0.2499)
        assert [sire for _, sire in below] == [3]
        assert paired(program, how, 2, males=MALES[:1], most_inbreeding=0.2) == []
    # Chance does not look at F.
    drawn = paired(program, "random", 2, males=MALES[:1], most_females_per_male=2,
                   most_inbreeding=0.2)  # fmt: skip
    assert drawn == [(0, 2), (1, 2)]


@pytest.mark.parametrize("how", ["random", "lowest", "plan"])
def test_there_are_no_more_pairs_than_asked_for_nor_than_males_have_room_for(how):
    program = family()
    assert len(paired(program, how, 1)) == 1
    assert len(paired(program, how, 5)) == 2
    assert len(paired(program, how, 2, males=MALES[:1], most_females_per_male=1)) == 1
    assert paired(program, how, 0) == []
    assert paired(program, how, 2, females=FEMALES[:0]) == []
    assert paired(program, how, 2, males=MALES[:0]) == []


def test_by_chance_every_pairing_comes_about_alike_often():
    program = family()
    seen = [tuple(paired(program, "random", 1, seed)) for seed in range(400)]
    counts = [seen.count(((dam, sire),)) for dam in (0, 1) for sire in (2, 3)]
    assert sum(counts) == 400
    assert all(abs(count - 100) < 4 * math.sqrt(400 * 1 / 4 * 3 / 4) for count in counts)


def test_every_way_of_pairing_draws_the_same_chance():
    program, left = family(), set()
    for how in ("random", "lowest", "plan"):
        chance = rng(9)
        program.pairs(how, FEMALES, MALES, 2, ONE_YEAR, chance)
        left.add(chance.random())
    assert len(left) == 1


def test_unknown_age_counts_as_the_first_breeding_age_of_the_sex():
    program = family(first_breeding_female=4, first_breeding_male=2.5)
    assert program.age_years.tolist() == [4, 4, 2.5, 2.5]


def test_pairs_from_elsewhere_are_grown_unrelated_and_bring_four_genes_each():
    a = replace(ONE_YEAR, first_breeding_female=3, first_breeding_male=2)
    program = family()
    assert program.with_founder_pairs(0, a) is program
    after = program.with_founder_pairs(2, a)
    wanted = np.diag([0.5] * 8)
    wanted[:4, :4] = program.kinship
    np.testing.assert_array_equal(after.kinship, wanted)
    assert after.is_female[4:].tolist() == [True, False, True, False]
    assert after.age_years[4:].tolist() == [3, 2, 3, 2]
    assert after.founder_genes == program.founder_genes + 8
    new = after.genes[4:, :, 0]
    assert sorted(new.ravel().tolist()) == list(range(program.founder_genes, after.founder_genes))
    assert (after.genes[4:] == new[:, :, None]).all()  # the same at every locus
    assert (after.genes[:4] == program.genes).all()


def test_a_year_later_all_are_a_year_older_and_the_young_are_one():
    a = replace(ONE_YEAR, deaths_grown=0, places=20, young_per_litter=2)
    after, _ = family().year(1, AS_NOW, a, rng())
    assert after.age_years[:4].tolist() == [2, 2, 2, 2]
    assert set(after.age_years[4:].tolist()) == {1}
    assert len(after) > 4


def test_ages_from_and_to_which_one_breeds_are_the_first_with_and_the_first_without():
    start = unrelated(1, 1, age_years=3.0)
    for first, last, bred in [(3, None, True), (3.1, None, False), (1, 3, False), (1, 3.1, True)]:
        for sex in ("first_breeding_female", "first_breeding_male"):
            a = replace(ONE_YEAR, last_breeding=last, **{sex: first})
            program = SimulatedProgram.begun(start, a, rng())
            _, of_young = program.year(1, AS_NOW, a, rng())
            assert math.isnan(of_young) is not bred, (first, last, sex)


def test_the_plan_is_told_which_part_of_those_to_come_will_be_young(monkeypatch):
    """By hand: two females x 1.5 litters x 4 young x 0.8 stay alive x 0.5 do not leave: 4.8."""
    told = []
    real = SimulatedProgram.pairs

    def listening(self, *args):
        told.append((args[0], args[3], args[-1]))
        return real(self, *args)

    monkeypatch.setattr(SimulatedProgram, "pairs", listening)
    a = replace(ONE_YEAR, litters_per_pair=1.5, young_per_litter=4, deaths_first_year=0.2,
                departures_young=0.5)  # fmt: skip
    family().year(1, Policy("p", "p", "plan"), a, rng())
    assert told == [("plan", 2, pytest.approx(4.8 / (4.8 + 4)))]


def test_a_possible_sire_is_the_father_as_often_as_believed():
    rows = [("A", None, None), ("B", None, None), ("D", None, None)]
    ped = Pedigree.from_rows([*rows, ("P", {"A": 0.2, "B": 0.8}, "D")])
    start = start_of(ped, ["A", "P"], females=["P"], males=["A"], age_years={})
    times = 600
    by_a = 0
    for seed in range(times):
        a, pup = dropped_genes(start.ancestry, 3, 1, rng(seed))[start.places]
        by_a += bool(np.isin(pup, a).any())
    assert abs(by_a / times - 0.2) < 4 * math.sqrt(0.2 * 0.8 / times)


def test_sex_and_age_of_the_living_are_read_as_given():
    ped = Pedigree.from_rows([(one, None, None) for one in "ABCD"])
    ages = {"A": 0, "B": 2.5, "C": None}
    start = start_of(ped, ["A", "B", "C", "D"], females=["A", "B"], males=["C"], age_years=ages)
    assert start.sex.tolist() == [FEMALE, FEMALE, MALE, UNKNOWN_SEX]
    assert start.age_years[:2].tolist() == [0, 2.5]
    assert np.isnan(start.age_years[2:]).all()
    females = sum(SimulatedProgram.begun(start, ONE_YEAR, rng(n)).is_female[3] for n in range(400))
    assert abs(females - 200) < 4 * 10
    with pytest.raises(LineageError, match=r"age of A is 0 years or more, not -0\.5"):
        start_of(ped, ["A"], females=[], males=[], age_years={"A": -0.5})


def test_nobody_has_no_figures_but_those_of_the_young():
    nobody = start_of(Pedigree.from_rows([]), [], females=[], males=[], age_years={})
    program = SimulatedProgram.begun(nobody, ONE_YEAR, rng())
    living, inbreeding, *rest = program.figures(0.125)
    assert (living, rest) == (0, [0, 0, 0, 0.125])
    assert math.isnan(inbreeding)
