"""The fish house seen from above: where each tank stands, who is in it, and what is due there."""
