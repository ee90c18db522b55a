"""Tests: one folder a room; the cast and the families are shared."""
