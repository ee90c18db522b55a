"""Who was lost: when, of which litter, in which tank, how old and of what."""
