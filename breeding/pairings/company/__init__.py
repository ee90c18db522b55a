"""Company judged wherever it begins: kin that could breed, and who must not meet."""
