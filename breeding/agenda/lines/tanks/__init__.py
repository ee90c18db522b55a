"""The lines of tanks: their water and work, room for those in them, and who is in none."""
