"""Tests of the room `animals`."""
