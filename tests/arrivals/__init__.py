"""Tests of the room `arrivals`."""
