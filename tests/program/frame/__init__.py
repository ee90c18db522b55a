"""Tests of what every request carries: weight, packing, choices, the stack."""
