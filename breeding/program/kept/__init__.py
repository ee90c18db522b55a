"""Nothing typed is lost: forms that arrived and could not be written, kept until they are."""
