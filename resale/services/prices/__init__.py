"""Learning prices and switching between them."""
