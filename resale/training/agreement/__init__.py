"""How far people agree."""
