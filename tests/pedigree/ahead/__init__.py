"""Years simulated."""
