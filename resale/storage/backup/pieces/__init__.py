"""Copies of the day that share what did not change: pieces in one store, a short list a copy."""
