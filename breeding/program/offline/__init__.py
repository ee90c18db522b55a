"""What a phone may keep of pages, to be read where there is no network."""
