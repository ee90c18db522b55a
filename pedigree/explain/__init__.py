"""Why two animals are related: Wright's paths, counted and walked, and pictures of them as text."""
