"""Tests of the room `litters`."""
