"""Figures of the living, of crosses and of generations."""
