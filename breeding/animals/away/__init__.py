"""An animal that goes, for a time or for good, and what is put back."""
