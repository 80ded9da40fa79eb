"""Makers' labels: one thing with one key, however it is spelt."""
