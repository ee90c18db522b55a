"""The kinds of tables: what the columns of each mean, and the act that a row becomes."""
