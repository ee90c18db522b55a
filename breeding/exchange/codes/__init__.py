"""A signed ancestry as codes to scan: packed into texts, drawn, and read from pictures of them."""
