"""Tables of animals: measured, fed, ill, died; their traits, strains and species."""
