"""What people write: each act once, undone again, and every record changed or withdrawn."""
