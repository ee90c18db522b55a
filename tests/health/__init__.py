"""Tests of the room `health`."""
