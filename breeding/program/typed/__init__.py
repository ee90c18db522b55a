"""Numbers, moments and time zones as people type them: one reading for every form and table."""
