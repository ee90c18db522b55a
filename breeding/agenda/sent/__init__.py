"""How the day reaches people elsewhere: as mail once a day, and as a calendar."""
