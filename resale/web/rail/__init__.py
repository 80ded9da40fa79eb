"""The Rail: many items."""
