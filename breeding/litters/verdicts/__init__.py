"""Verdicts: what was decided of young ones, and how that is put right."""
