"""How good the prices are."""
