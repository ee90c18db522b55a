"""Tanks, and who is where since when."""
