"""The chain: the shops of one owner side by side, and things that move between them."""
