"""Work on water and tanks: changes, source waters, filter care, and when it is due."""
