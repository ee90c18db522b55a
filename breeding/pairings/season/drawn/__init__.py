"""The line of a season: where things stand on it, how it is drawn, and the same in words; pure."""
