"""Tests of the room `pairings`."""
