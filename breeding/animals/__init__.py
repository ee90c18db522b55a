"""Species, strains, animals, parents, photographs and measurements."""
