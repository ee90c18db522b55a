"""Keys: this program's own, renewed and given up; others', heard of and told."""
