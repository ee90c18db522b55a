"""The examples in the docstrings of the room of words hold."""

import doctest
import importlib

import pytest


@pytest.mark.parametrize("name", ["ancestry", "chances", "days", "kin", "numbers"])
def test_examples_hold(name):
    found = doctest.testmod(importlib.import_module(f"breeding.words.{name}"))
    assert found.attempted > 0
    assert found.failed == 0
