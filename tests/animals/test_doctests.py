"""The examples in the docstrings of this room's words and arithmetic hold."""

import doctest
import importlib

import pytest


@pytest.mark.parametrize("name", ["sire_range", "spread", "words"])
def test_examples_hold(name):
    found = doctest.testmod(importlib.import_module(f"breeding.animals.{name}"))
    assert found.attempted > 0
    assert found.failed == 0
