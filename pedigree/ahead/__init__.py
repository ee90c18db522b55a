"""The next years of a program, simulated under several policies."""
