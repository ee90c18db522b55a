"""How animals died: written down, put right, and what was so at the time."""
