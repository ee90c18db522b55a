"""From a few sightings to a due window: numbers and days, no Django."""
