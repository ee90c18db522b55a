"""Where an animal came from: arrivals, and animals lent by and to others."""
