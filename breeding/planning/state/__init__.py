"""The state of the program, in figures and plots."""
