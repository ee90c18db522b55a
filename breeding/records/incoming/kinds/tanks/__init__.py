"""Tables of tanks: who was in them, their water and its changes."""
