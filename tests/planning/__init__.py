"""The planning room: who with whom, and the state of the program."""
