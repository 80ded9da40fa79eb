"""Drawn children's wear."""
