"""Years simulated: the first state against the pedigree, laws of what follows, and stopping."""

import math
from dataclasses import replace

import numpy as np
import pytest

from pedigree import LineageError, Pedigree, founder_genomes, gene_diversity
from pedigree.ahead.assumptions import AS_NOW, BY_THE_PLAN, NEW_PAIR, RULES, Assumptions
from pedigree.ahead.outlook import Stopped, look_ahead
from pedigree.ahead.simulation import FIGURES, SimulatedProgram, dropped_genes, start_of
from tests.pedigree import published
from tests.pedigree.families import random_rows

FEW = Assumptions(years=4, replicates=12, first_breeding_female=1, first_breeding_male=1)


def small_start():
    """Own construction, verified two ways; see fixtures/published/own_small_population."""
    living = published.values("own_small_population")["reference"]
    return start_of(
        published.pedigree("own_small_population"),
        living,
        females=living[:2],
        males=living[2:],
        age_years={"H": 3, "I": 2.5, "J": None},
    )


def closed_line(seed=5, animals=60, living=24):
    ped = Pedigree.from_rows(random_rows(seed, animals=animals, unknown=0.05))
    names = [f"a{n}" for n in range(animals - living, animals)]
    return start_of(
        ped, names, females=names[::2], males=names[1::2], age_years=dict.fromkeys(names, 3.0)
    )


def rng(seed=1):
    return np.random.default_rng(seed)


def test_year_zero_is_the_program_as_it_is():
    values = published.values("own_small_population")
    ped, living = published.pedigree("own_small_population"), values["reference"]
    outlook = look_ahead(small_start(), rng(), replace(FEW, loci=4_000, years=1))
    for policy in ("as_now", "by_the_plan", "new_pair"):
        today = {name: outlook.band(policy, name)[1, 0] for name in FIGURES}
        assert today["living"] == 4
        assert today["inbreeding"] == 1 / 16  # J alone has 1/4
        assert today["gene_diversity"] == gene_diversity(ped, living)
        assert today["founder_genomes"] == pytest.approx(founder_genomes(ped, living))
        # 151/64 is exact; 4,000 loci in 12 replicates leave a standard error below 0.005.
        assert today["founder_genomes_surviving"] == pytest.approx(151 / 64, abs=0.02)
        assert math.isnan(today["inbreeding_of_young"])


def test_same_seed_same_answer_whatever_the_number_of_workers():
    outlooks = [look_ahead(small_start(), rng(7), FEW, workers=workers) for workers in (1, 2)]
    other = look_ahead(small_start(), rng(8), FEW)
    for key, values in outlooks[0].values.items():
        np.testing.assert_array_equal(values, outlooks[1].values[key])
        assert not np.array_equal(values, other.values[key], equal_nan=True)


def test_kinship_of_the_young_is_what_the_pedigree_gives():
    ped = Pedigree.from_rows(random_rows(11, animals=30))
    names = [f"a{n}" for n in range(18, 30)]
    start = start_of(ped, names, females=names[::2], males=names[1::2], age_years={})
    program = SimulatedProgram.begun(start, FEW, rng())
    dams, sires = np.array([0, 0, 2, 10]), np.array([1, 1, 3, 3])
    keep = np.array([0, 3, 5, 11])
    after = program.with_young(keep, dams, sires, np.array([True, False, True, True]), rng())
    rows = [(f"p{n}", names[s], names[d]) for n, (d, s) in enumerate(zip(dams, sires, strict=True))]
    grown = ped.with_rows(rows)
    wanted = grown.kinship_matrix([names[k] for k in keep] + [row[0] for row in rows])
    np.testing.assert_allclose(after.kinship, wanted, rtol=0, atol=1e-14)
    assert after.is_female.tolist() == [True, False, False, False, True, False, True, True]


def test_dropped_genes_are_alike_as_often_as_kinship_says():
    """Ten thousand loci: every animal's two genes, and one drawn from each of two."""
    ped = Pedigree.from_rows(random_rows(4, animals=25))
    names = [f"a{n}" for n in range(13, 25)]
    start = start_of(ped, names, females=names, males=[], age_years={})
    loci = 10_000
    genes = dropped_genes(start.ancestry, int(start.ancestry.starts[1]), loci, rng())[start.places]
    for one in range(len(names)):
        for other in range(one):
            pairs = genes[one][:, None] == genes[other][None]
            found = pairs.mean()
            wanted = start.kinship[one, other]
            assert abs(found - wanted) < 4 * math.sqrt(max(wanted * (1 - wanted), 1e-4) / loci)


def test_a_sire_that_is_one_of_several_is_the_same_at_every_locus():
    rows = [("A", None, None), ("B", None, None), ("D", None, None)]
    ped = Pedigree.from_rows([*rows, ("P", {"A": 0.5, "B": 0.5}, "D")])
    start = start_of(ped, ["A", "B", "P"], females=["P"], males=["A", "B"], age_years={})
    sires = set()
    for seed in range(20):
        a, b, pup = dropped_genes(start.ancestry, 3, 50, rng(seed))[start.places]
        from_a, from_b = np.isin(pup, a).any(), np.isin(pup, b).any()
        assert from_a != from_b
        sires.add("A" if from_a else "B")
    assert sires == {"A", "B"}


def test_genes_and_kinship_stay_in_step_over_the_years():
    """Over many programs the share of like genes among the living is their mean kinship."""
    start = closed_line()
    a = replace(FEW, loci=200, places=24)
    found, said = [], []
    for seed in range(30):
        chance = rng(seed)
        program = SimulatedProgram.begun(start, a, chance)
        for year in range(1, 5):
            program, _ = program.year(year, AS_NOW, a, chance)
        pool = program.genes.reshape(-1, a.loci)
        counts = [np.unique(pool[:, at], return_counts=True)[1] for at in range(a.loci)]
        found.append(np.mean([(c**2).sum() / len(pool) ** 2 for c in counts]))
        said.append(program.kinship.mean())
    assert np.mean(found) == pytest.approx(np.mean(said), abs=0.005)


def test_without_births_and_losses_nothing_changes():
    still = replace(FEW, litters_per_pair=0, deaths_grown=0, departures_grown=0)
    outlook = look_ahead(small_start(), rng(), still, [AS_NOW])
    for figure in FIGURES[:4]:
        assert len(set(outlook.replicates("as_now", figure).ravel().tolist())) == 1


def test_a_program_that_loses_everybody_dies_out():
    outlook = look_ahead(small_start(), rng(), replace(FEW, deaths_grown=1, deaths_first_year=1))
    assert outlook.died_out("as_now") == 1
    assert outlook.band("as_now", "living")[:, 1].tolist() == [0, 0, 0]
    assert outlook.band("as_now", "gene_diversity")[:, 1].tolist() == [0, 0, 0]
    assert np.isnan(outlook.band("as_now", "inbreeding")[:, 1]).all()


def test_nobody_living_is_looked_at_as_well():
    nobody = start_of(Pedigree.from_rows([]), [], females=[], males=[], age_years={})
    outlook = look_ahead(nobody, rng(), FEW, [AS_NOW, NEW_PAIR])
    assert outlook.died_out("as_now") == 1
    assert outlook.band("new_pair", "living")[2, 2] >= 1


def test_more_than_there_is_room_for_do_not_stay():
    outlook = look_ahead(closed_line(), rng(), replace(FEW, places=30, departures_young=0))
    assert outlook.replicates("as_now", "living")[:, 1:].max() == 30


def test_a_new_pair_in_year_two_brings_two_genomes_and_not_before():
    lasting = replace(FEW, deaths_grown=0, departures_grown=0)
    outlook = look_ahead(closed_line(), rng(3), lasting, [AS_NOW, NEW_PAIR])
    now, new = (
        outlook.replicates(one.key, "founder_genomes_surviving") for one in (AS_NOW, NEW_PAIR)
    )
    np.testing.assert_array_equal(now[:, :2], new[:, :2])
    assert np.mean(new[:, 2] - now[:, 2]) == pytest.approx(2, abs=0.2)
    diversity = outlook.band("new_pair", "gene_diversity") - outlook.band(
        "as_now", "gene_diversity"
    )
    assert diversity[1, 2] > 0


def test_the_plan_keeps_more_diversity_and_less_inbreeding_than_now():
    a = replace(FEW, years=6, replicates=25, departures_young=0.3)
    outlook = look_ahead(closed_line(), rng(2), a, [AS_NOW, BY_THE_PLAN])
    now, plan = (
        {name: outlook.replicates(one.key, name)[:, -1].mean() for name in FIGURES}
        for one in (AS_NOW, BY_THE_PLAN)
    )
    assert plan["gene_diversity"] > now["gene_diversity"]
    assert plan["inbreeding"] < now["inbreeding"]


def test_the_most_inbreeding_accepted_is_kept_by_the_plan():
    program = SimulatedProgram.begun(closed_line(), FEW, rng())
    females, males = np.flatnonzero(program.is_female), np.flatnonzero(~program.is_female)
    between = program.kinship[np.ix_(females, males)]
    limit = float(np.quantile(between, 0.2))
    a = replace(FEW, most_inbreeding=limit, diversity=1.0)
    dams, sires = program.pairs("plan", females, males, 12, a, rng())
    assert 0 < len(dams) < 12
    assert program.kinship[dams, sires].max() <= limit
    lower = replace(a, most_inbreeding=float(between.min()) / 2)
    assert [len(some) for some in program.pairs("plan", females, males, 12, lower, rng())] == [0, 0]


def test_progress_is_told_and_a_wish_to_stop_is_heard():
    told = []
    look_ahead(small_start(), rng(), FEW, progress=lambda *step: told.append(step))
    assert told[-1] == (36, 36)
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    with pytest.raises(Stopped):
        look_ahead(small_start(), rng(), FEW, stop=lambda: len(told) > 0)
    with pytest.raises(Stopped):
        look_ahead(small_start(), rng(), FEW, workers=2, stop=lambda: True)


def test_unknown_sex_is_drawn_and_unknown_age_counts_as_grown():
    ped = Pedigree.from_rows([("A", None, None), ("B", None, None)])
    start = start_of(ped, ["A", "B"], females=["A"], males=[], age_years={"A": 0.5})
    drawn = {bool(SimulatedProgram.begun(start, FEW, rng(n)).is_female[1]) for n in range(20)}
    assert drawn == {True, False}
    assert SimulatedProgram.begun(start, FEW, rng()).age_years.tolist() == [0.5, 1.0]


def test_every_assumption_can_be_printed_with_its_unit():
    lines = Assumptions(places=40).lines()
    assert [line.name for line in lines] == list(vars(Assumptions()))
    assert all(line.says and line.unit for line in lines)
    assert next(line for line in lines if line.name == "places").value == 40
    assert all(rule.endswith(".") for rule in RULES)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"deaths_grown": 1.2}, r"deaths_grown is from 0 to 1 \(share\), not 1.2"),
        ({"young_per_litter": 0.5}, r"young_per_litter is from 1 to 100 \(young\), not 0.5"),
        ({"females_paired": float("nan")}, "not nan"),
        ({"years": 2.5}, r"years is a whole number from 1 to 100 \(years\), not 2.5"),
        ({"replicates": 0}, "not 0"),
        ({"places": "many"}, r"places is a whole number 1 or more \(animals\), not 'many'"),
        ({"litters_per_pair": None}, "not None"),
    ],
)
def test_an_assumption_out_of_range_is_named(change, words):
    with pytest.raises(LineageError, match=words):
        Assumptions(**change)


def test_what_cannot_be_asked_is_named():
    ped = Pedigree.from_rows([("A", None, None)])
    with pytest.raises(LineageError, match="A is given as a female and as a male"):
        start_of(ped, ["A"], females=["A"], males=["A"], age_years={})
    with pytest.raises(LineageError, match="age of A is 0 years or more, not -1"):
        start_of(ped, ["A"], females=["A"], males=[], age_years={"A": -1})
    with pytest.raises(LineageError, match="At least one worker is needed, not 0"):
        look_ahead(small_start(), rng(), FEW, workers=0)
    with pytest.raises(LineageError, match="keys of their own"):
        look_ahead(small_start(), rng(), FEW, [AS_NOW, AS_NOW])
    outlook = look_ahead(small_start(), rng(), replace(FEW, replicates=1), [AS_NOW])
    with pytest.raises(LineageError, match="no figure 'size'"):
        outlook.band("as_now", "size")
    with pytest.raises(LineageError, match="no policy 'other'"):
        outlook.band("other", "living")
