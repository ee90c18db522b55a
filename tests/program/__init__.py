"""Tests of the room `program`."""
