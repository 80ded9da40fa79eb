"""Files of things, and their readings."""
