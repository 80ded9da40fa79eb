"""Drawn buttons and zips."""
