"""Which repairs pay."""
