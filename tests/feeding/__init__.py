"""Tests of the room `feeding`."""
