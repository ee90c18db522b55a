"""Kinship and inbreeding of a pedigree laid out as arrays: three engines, and which suits when."""
