"""The season's plan: who can be bred, wishes, and what collides."""
