"""The rule book: its text, its checks, a shop's own changes."""
