"""Keeping: whom of a litter to hold back, by what the program would lose without them."""
