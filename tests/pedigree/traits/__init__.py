"""Chances of genotypes against textbooks and against every genotype of everybody."""
