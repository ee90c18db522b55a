"""Who the parents are: what can be, what contradicts, and what follows of the young."""
