"""Settings that somebody changes."""
