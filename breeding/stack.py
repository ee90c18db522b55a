"""A call whose inner calls all stand on one piece of Python's stack: none is slow by its depth.

From Python 3.11 on the stack of a thread is a chain of pieces of 16 kB. A loop that happens to
stand at the end of a piece takes another from the system and gives it back at every call it makes
(python/cpython#142183, mended in 2026 for 3.13 and later). A page is drawn some hundred calls deep:
there it cost as much again as its own work. A function that says it needs much gets a piece as
large as that, and whatever it calls stands on what is left of it.
"""

import functools
from collections.abc import Callable
from typing import ParamSpec, TypeVar

P = ParamSpec("P")
R = TypeVar("R")

# Of 8 bytes each: a little over 512 kB, so that a piece of 1 MB is taken and nearly half of it is
# left for what is called. Of the memory only what is used is taken.
SLOTS = 70_000


def in_one_piece(function: Callable[P, R]) -> Callable[P, R]:
    """The function, which says it needs far more of the stack than it does."""

    def within(*args: P.args, **kwargs: P.kwargs) -> R:
        return function(*args, **kwargs)

    within.__code__ = within.__code__.replace(co_stacksize=SLOTS)
    return functools.wraps(function)(within)
