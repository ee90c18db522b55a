"""Ground floor: the program's own name, units and thresholds, people and roles, the page frame."""
