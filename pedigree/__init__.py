"""Arithmetic of lineage: kinship, inbreeding, paths, species shares, family trees as text."""
