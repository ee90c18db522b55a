"""Cards for tanks and animals, with a code that opens their page."""
