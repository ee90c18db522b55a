"""Tests of what need not be asked again."""
