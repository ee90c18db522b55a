"""What comes with the tool to be read: cautions and terms with sources, and where they lie."""
