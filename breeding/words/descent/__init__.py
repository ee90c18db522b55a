"""What follows from who the parents are, in words: ancestry, kin, diversity, species."""
