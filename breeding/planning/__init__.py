"""Choosing who goes with whom, and the state of the program."""
