"""Tests of the room `finding`."""
