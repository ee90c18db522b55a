"""SQLite as Django knows it, whose answers are kept while nothing is written."""
