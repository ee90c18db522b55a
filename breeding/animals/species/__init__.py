"""Species with their figures, and what the law lists."""
