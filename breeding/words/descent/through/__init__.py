"""Through whom young are inbred: the sentences, and the lines they count."""
