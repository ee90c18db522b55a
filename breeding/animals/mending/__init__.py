"""How animals, assumed kinship, species and strains are put right, withdrawn and brought back."""
