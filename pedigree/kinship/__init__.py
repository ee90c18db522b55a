"""Kinship and inbreeding of a pedigree laid out as arrays: two engines, and which suits when."""
