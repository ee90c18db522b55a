"""Plans of pairings and contributions, against trying everything."""
