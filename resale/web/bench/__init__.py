"""The Bench: one item."""
