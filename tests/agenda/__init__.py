"""Tests of the room `agenda`."""
