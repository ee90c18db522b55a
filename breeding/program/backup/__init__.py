"""Everything of the program in one checked file; and back from it, all or nothing."""
