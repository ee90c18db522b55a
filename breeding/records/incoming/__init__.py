"""From a table as somebody kept it to records: read, asked about, tried, written."""
