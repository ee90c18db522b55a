"""What a sheet says: its facts, words, pictures and tree."""
