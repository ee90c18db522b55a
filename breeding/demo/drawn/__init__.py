"""What the demonstration's animals look like: how they grow, their portraits, their wounds."""
