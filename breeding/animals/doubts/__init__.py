"""What is asked once before it is kept of an animal: sizes and pictures beside its own history."""
