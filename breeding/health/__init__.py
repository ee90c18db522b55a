"""What ails an animal, what is done about it, and what must not be done meanwhile."""
