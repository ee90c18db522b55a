"""Reminders that somebody sets: for an animal, a tank, a contact, or none of them."""
