"""Tests of the room `housing`."""
