"""A loop is as quick at the end of a piece of Python's stack as anywhere else."""

import resource
import sys

import pytest
from django.conf import settings

from breeding.stack import in_one_piece

TIMES, DEPTHS = 2_000, range(300)  # a piece of 16 kB holds fewer calls than this


def nothing(number):
    a = b = c = d = number
    return a, b, c, d


def pieces_of_memory_taken(depth):
    """By a loop that many calls deep."""
    if depth:
        return pieces_of_memory_taken(depth - 1)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_minflt
    for number in range(TIMES):
        nothing(number)
    return resource.getrusage(resource.RUSAGE_SELF).ru_minflt - before


@pytest.mark.skipif(sys.platform != "linux", reason="page faults are counted on Linux")
def test_no_depth_of_calls_makes_a_loop_take_memory_again_and_again():
    assert max(in_one_piece(pieces_of_memory_taken)(depth) for depth in DEPTHS) < TIMES / 20


def test_what_a_function_takes_and_answers_stays_as_it_is():
    @in_one_piece
    def joined(*words, by="-"):
        """Words in one."""
        return by.join(words)

    assert joined("a", "b", by="+") == "a+b"
    assert (joined.__name__, joined.__doc__) == ("joined", "Words in one.")


def test_every_request_is_answered_in_one_piece():
    assert settings.MIDDLEWARE[0] == "breeding.stack.in_one_piece"
