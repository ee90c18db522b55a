"""Tests of the room `buyers`."""
