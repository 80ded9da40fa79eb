"""Files of the past, loaded."""
