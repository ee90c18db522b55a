"""Pairings, sightings and scans, and what follows from them: the due window."""
