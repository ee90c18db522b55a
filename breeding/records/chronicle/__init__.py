"""The chronicle: every dated thing of an animal or of the whole program, newest first."""
