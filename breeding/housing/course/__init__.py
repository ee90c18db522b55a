"""A tank's water over time: readings, what was done meanwhile, and the two drawn together."""
