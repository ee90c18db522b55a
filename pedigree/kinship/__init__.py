"""Kinship and inbreeding of a pedigree laid out as arrays: engines, and which suits when."""
