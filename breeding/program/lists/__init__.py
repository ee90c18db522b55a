"""One way for all lists: narrowed, sorted, paged, with columns one chooses."""
