"""From the bytes of a file to a table of texts."""
