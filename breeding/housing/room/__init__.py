"""Room: what the floor of a tank gives those in it, now and as they grow."""
