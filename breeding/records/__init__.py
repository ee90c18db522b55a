"""Import, the demo program, and later export, backup and history."""
