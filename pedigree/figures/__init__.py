"""What a pedigree says of its animals: founders, diversity, species shares, known ancestry."""
