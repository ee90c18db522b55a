"""Tests of lists."""
