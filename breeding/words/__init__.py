"""How figures are said: numbers, counts, days, kin, ancestry, species and chance; nowhere else."""
