"""Who ate what, who refused, and how much is meant for whom."""
