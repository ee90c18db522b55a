"""Taking apart, wounds, nursery and rest."""
