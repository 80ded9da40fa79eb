"""Whether all is there: parts, keys, and the ends of threads."""
