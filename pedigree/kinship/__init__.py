"""Kinship and inbreeding of a pedigree laid out as arrays: several engines, and which suits when."""
