"""Why there is no plan of pairings, in words."""

import numpy as np
import pytest

from breeding.words.plans import no_plan_words
from pedigree import NoPlan, plan_pairings

FEMALES, MALES = ["Mira", "Vega", "Lyra"], ["Altair", "Rigel", "Deneb"]


def said(*args, **rules):
    with pytest.raises(NoPlan) as caught:
        plan_pairings(*args, **rules)
    return no_plan_words(caught.value)


def test_the_rules_that_collide_are_said_with_what_they_leave_and_what_would_help():
    words = said(
        [[0.25, 0.0], [0.25, 0.0], [0.0, 0.25]],
        per_male=1,
        most=0.125,
        litters=3,
        females=FEMALES,
        males=MALES[:2],
    )
    assert words == (
        "No plan: 3 litters are wanted and each male may have at most 1 litter; these cannot all "
        "be kept. That leaves at most 2 litters: 1 litter each of Altair and Rigel. "
        "There would be a plan with 2 litters in all or with up to 2 litters for each male."
    )


def test_the_limit_that_would_do_is_said():
    words = said([[0.25, 0.125]], most=0.0625)
    assert "F may be at most 6.25 %; this cannot be kept. That leaves no pair at all." in words
    assert words.endswith("There would be a plan with F up to 12.5 %.")


def test_only_the_required_pairs_at_issue_are_said():
    required = [(0, 0), (0, 1), (2, 2)]
    words = said(np.zeros((3, 3)), required=required, females=FEMALES, males=MALES)
    assert "there must be Mira with Altair and Mira with Rigel" in words
    assert "Lyra" not in words
    assert "up to 2 litters for each female" in words


def test_required_pairs_that_are_too_close_are_said_with_their_f():
    words = said([[0.25, 0.0]], required=[(0, 0)], most=0.125, females=FEMALES[:1], males=MALES[:2])
    assert "F of Mira with Altair is 25 %." in words


def test_more_litters_than_pairs_and_nobody_to_pair_are_said():
    assert said([[0.0, 0.0]], per_female=None, litters=3).startswith(
        "No plan: 3 litters are wanted, but 1 x 2 animals make only 2 pairs, each planned once at "
        "most."
    )
    assert said(np.zeros((0, 3))) == "No plan: there is no female to choose from."
    assert said(np.zeros((3, 0))) == "No plan: there is no male to choose from."
