"""What a look ahead takes for granted: defaults, the limits of each, and the three policies."""

import pytest

from pedigree import LineageError
from pedigree.ahead.assumptions import AS_NOW, BY_THE_PLAN, NEW_PAIR, POLICIES, Assumptions, Policy

# Name: default, lowest, highest (None: no end), whole number. A default changes only on purpose.
EVERY = {
    "years": (10, 1, 100, True),
    "replicates": (200, 1, 100_000, True),
    "females_paired": (0.8, 0, 1, False),
    "most_females_per_male": (3, 1, None, True),
    "litters_per_pair": (1.0, 0, 10, False),
    "young_per_litter": (4.0, 1, 100, False),
    "females_at_birth": (0.5, 0, 1, False),
    "first_breeding_female": (3.0, 1, None, False),
    "first_breeding_male": (2.0, 1, None, False),
    "last_breeding": (None, 1, None, False),
    "deaths_first_year": (0.2, 0, 1, False),
    "deaths_grown": (0.05, 0, 1, False),
    "departures_young": (0.6, 0, 1, False),
    "departures_grown": (0.05, 0, 1, False),
    "places": (None, 1, None, True),
    "most_inbreeding": (None, 0, 1, False),
    "diversity": (0.5, 0, 1, False),
    "loci": (30, 1, 10_000, True),
}


def test_the_defaults_are_these():
    assert vars(Assumptions()) == {name: row[0] for name, row in EVERY.items()}


@pytest.mark.parametrize("name", EVERY)
def test_the_lowest_and_the_highest_are_taken_and_what_is_beyond_is_refused(name):
    _, low, high, whole = EVERY[name]
    step = 1 if whole else 0.001
    allowed = f"from {low} to {high}" if high is not None else f"{low} or more"
    kind = "a whole number " if whole else ""
    assert getattr(Assumptions(**{name: low}), name) == low
    with pytest.raises(LineageError, match=rf"^{name} is {kind}{allowed} \("):
        Assumptions(**{name: low - step})
    top = 10**9 if high is None else high
    assert getattr(Assumptions(**{name: top}), name) == top
    if high is not None:
        with pytest.raises(LineageError, match=rf"^{name} is {kind}{allowed} \("):
            Assumptions(**{name: high + step})


@pytest.mark.parametrize("name", EVERY)
def test_only_whole_numbers_of_what_is_counted(name):
    _, low, _, whole = EVERY[name]
    between = low + 0.5
    if whole:
        with pytest.raises(LineageError, match="whole number"):
            Assumptions(**{name: between})
    else:
        assert getattr(Assumptions(**{name: between}), name) == between


@pytest.mark.parametrize("name", EVERY)
def test_nothing_and_words_and_yes_are_no_numbers(name):
    for value in ("3", True, float("nan")):
        with pytest.raises(LineageError, match=name):
            Assumptions(**{name: value})
    if name in ("last_breeding", "places", "most_inbreeding"):
        assert getattr(Assumptions(**{name: None}), name) is None
    else:
        with pytest.raises(LineageError, match="not None"):
            Assumptions(**{name: None})


def test_new_pairs_come_in_their_year_and_add_up():
    policy = Policy("two", "Two at once and one more", "random", ((1, 2), (4, 1), (1, 1)))
    assert [policy.brought_in(year) for year in range(6)] == [0, 3, 0, 0, 1, 0]


def test_the_policies_say_what_they_do():
    assert POLICIES == (AS_NOW, BY_THE_PLAN, NEW_PAIR)
    assert [one.pairs for one in POLICIES] == ["random", "plan", "random"]
    assert [one.brought_in(2) for one in POLICIES] == [0, 0, 1]
    assert [one.brought_in(1) + one.brought_in(3) for one in POLICIES] == [0, 0, 0]
