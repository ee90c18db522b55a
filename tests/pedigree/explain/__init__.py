"""Wright's paths and the pictures of kin."""
