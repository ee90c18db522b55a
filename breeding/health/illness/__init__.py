"""What ails an animal, what is given for it, and who looked at it."""
