"""Tests of the room `spots`, on invented rays; no database."""
