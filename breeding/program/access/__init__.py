"""Who gets in: passwords, links, two steps, sessions, and what slows strangers."""
