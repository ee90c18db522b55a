"""Tests of the arithmetic of lineage: no database, seconds."""
