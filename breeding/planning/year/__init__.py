"""The year in figures: what became of the young of a year, with how sure each figure is."""
