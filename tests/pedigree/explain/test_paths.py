"""Wright's paths: against enumeration, exact kinship, and the rules that must not be dropped."""

import itertools
from fractions import Fraction

import networkx as nx
import pytest

from benchmarks.bench import closed_line
from pedigree import LineageError, Pedigree, Unrecorded, explain, possible_inbreeding
from pedigree.explain.path_counts import packed_counts, weighed_counts
from pedigree.kinship import engines
from tests.pedigree.families import exact_kinship, random_rows


def lines_up(graph, start, ancestor):
    """Every line from an animal up to an ancestor, as tuples of edges' young ends and nodes."""
    if start == ancestor:
        return [(start,)]
    paths = nx.all_simple_edge_paths(graph, start, ancestor)
    return [(start, *(parent for _, parent, _ in path)) for path in paths]


def enumerated(ped, sire, dam):
    """Pairs of lines that share nothing but the ancestor they meet in, listed one by one."""
    graph = nx.MultiDiGraph()
    graph.add_nodes_from(ped.ids)
    for animal in ped.ids:
        for parent in (ped.sire(animal), ped.dam(animal)):
            if parent is not None:
                graph.add_edge(animal, parent)
    found = {}
    for ancestor in ped.ids:
        pairs = itertools.product(lines_up(graph, sire, ancestor), lines_up(graph, dam, ancestor))
        for up, down in pairs:
            if set(up[:-1]).isdisjoint(down) and set(down[:-1]).isdisjoint(up):
                steps = (len(up) - 1, len(down) - 1)
                counts = found.setdefault(ancestor, {})
                counts[steps] = counts.get(steps, 0) + 1
    return found


@pytest.mark.parametrize("selfing", [False, True])
@pytest.mark.parametrize("seed", range(25))
def test_counts_are_those_of_enumerated_disjoint_lines(seed, selfing):
    ped = Pedigree.from_rows(random_rows(seed, animals=11, selfing=selfing))
    for sire, dam in itertools.permutations(["a10", "a9", "a8", "a6", "a4"], 2):
        why = explain(ped, sire, dam)
        assert {one.id: dict(one.paths) for one in why.ancestors} == enumerated(ped, sire, dam)


@pytest.mark.parametrize("kind", [{}, {"selfing": True}, {"uncertain": 0.5}, {"unknown": 0.0}])
def test_contributions_sum_to_exact_kinship(kind):
    for seed in range(60):
        ped = Pedigree.from_rows(random_rows(seed, animals=16, **kind))
        between = exact_kinship(ped._layout)
        node = dict(zip(ped.ids, ped._layout.node_of_row.tolist(), strict=True))
        for sire, dam in [("a15", "a14"), ("a13", "a15"), ("a15", "a5"), ("a12", "a12")]:
            why = explain(ped, sire, dam)
            assert why.inbreeding == between(node[sire], node[dam])
            assert sum(one.contribution for one in why.ancestors) == why.inbreeding
            for one in why.ancestors:
                if not isinstance(one.id, Unrecorded):
                    first = ped._layout.first[node[one.id]]
                    second = ped._layout.second[node[one.id]]
                    assert one.inbreeding == between(int(first), int(second))


@pytest.mark.parametrize("seed", range(20))
def test_the_two_ways_of_counting_agree(seed):
    layout = Pedigree.from_rows(random_rows(seed, animals=30, unknown=0.1))._layout
    nodes = layout.node_of_row[[28, 29]].tolist()
    assert packed_counts(layout, tuple(nodes)) == weighed_counts(layout, tuple(nodes))[0]


@pytest.mark.parametrize("longest", [0, 2, 4, 7, 30])
def test_longer_lines_become_the_remainder_exactly(longest):
    for seed in range(20):
        ped = Pedigree.from_rows(random_rows(seed, animals=20, uncertain=0.1))
        whole = explain(ped, "a19", "a18")
        short = explain(ped, "a19", "a18", longest=longest)
        assert sum(one.contribution for one in short.ancestors) + short.remainder == (
            whole.inbreeding
        )
        assert short.inbreeding == whole.inbreeding
        wanted = {
            (one.id, steps): count
            for one in whole.ancestors
            for steps, count in one.paths.items()
            if sum(steps) <= longest
        }
        found = {(one.id, s): n for one in short.ancestors for s, n in one.paths.items()}
        assert found == wanted


@pytest.mark.parametrize("seed", range(20))
def test_walking_gives_every_path_once_shortest_first(seed):
    ped = Pedigree.from_rows(random_rows(seed, animals=12))
    why = explain(ped, "a11", "a10")
    walked = list(why.walk())
    assert len(walked) == why.path_count == len(set(walked))
    assert [len(path) for path in walked] == sorted(len(path) for path in walked)
    counted = sorted(
        sum(steps) + 1 for one in why.ancestors for steps, n in one.paths.items() for _ in range(n)
    )
    assert [len(path) for path in walked] == counted


def test_walking_a_closed_line_gives_the_first_paths_at_once():
    ped = Pedigree.from_rows(closed_line(30, 6, 12, seed=1))
    why = explain(ped, (29, "m0"), (29, "f0"))
    assert why.path_count > 10**15
    first = list(why.walk(5))
    assert len(first) == 5
    assert (
        why.inbreeding
        == engines.exactly(
            ped._layout, ped._layout.node_of_row[[ped.row((29, "m0")), ped.row((29, "f0"))]]
        )[2][0, 1]
    )


def test_edge_disjoint_lines_that_share_an_animal_are_not_counted():
    # Both lines through C would give A too much: they meet in C already.
    rows = [("A", None, None), ("C", "A", None), ("S", "C", None), ("D", "C", None)]
    why = explain(Pedigree.from_rows(rows), "S", "D")
    assert [(one.id, one.paths) for one in why.ancestors] == [("C", {(1, 1): 1})]


def test_an_ancestor_made_by_selfing_has_two_lines_to_its_parent():
    rows = [("A", None, None), ("C", "A", "A"), ("D", "A", None)]
    why = explain(Pedigree.from_rows(rows), "C", "D")
    assert [(one.id, one.paths) for one in why.ancestors] == [("A", {(1, 1): 2})]
    assert why.inbreeding == Fraction(1, 4)


def test_a_parent_can_be_the_common_ancestor_itself():
    rows = [("A", None, None), ("D", "A", None)]
    why = explain(Pedigree.from_rows(rows), "A", "D")
    assert why.ancestors[0].paths == {(0, 1): 1}
    assert list(why.walk(3)) == [("A", "D")]
    assert list(explain(Pedigree.from_rows(rows), "D", "A").walk(3)) == [("D", "A")]


def test_litter_mates_meet_in_their_unrecorded_sire():
    rows = [("D", None, None), ("x", None, "D", "L"), ("y", None, "D", "L")]
    why = explain(Pedigree.from_rows(rows), "x", "y")
    assert [str(one.id) for one in why.ancestors] == ["D", "the unknown sire of x, y"]
    assert why.inbreeding == Fraction(1, 4)


def test_an_uncertain_pairing_gives_the_expected_and_the_range():
    rows = [("A", None, None), ("B", None, None), ("C", "A", "B"), ("Z", None, None)]
    ped = Pedigree.from_rows(rows)
    found = possible_inbreeding(ped, {"A": Fraction(1, 2), "Z": Fraction(1, 4)}, "C")
    assert found.by_sire == {"A": Fraction(1, 4), "Z": 0, None: 0}
    assert (found.expected, found.lowest, found.highest) == (Fraction(1, 8), 0, Fraction(1, 4))
    with pytest.raises(LineageError, match="sum to at most 1"):
        possible_inbreeding(ped, {"A": 1, "Z": 1}, "C")


def test_a_negative_length_is_refused():
    ped = Pedigree.from_rows([("A", None, None)])
    with pytest.raises(LineageError, match="0 or more steps, not -1"):
        explain(ped, "A", "A", longest=-1)
