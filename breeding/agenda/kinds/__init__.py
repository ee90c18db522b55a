"""The kinds of lines on the day: one row for each, by what the line is about."""
