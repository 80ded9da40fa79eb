"""Labels to read: what they say, in which language, how old they are, whose name they bear."""
