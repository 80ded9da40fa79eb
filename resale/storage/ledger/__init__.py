"""What happened to items, as events."""
