"""Drawn wear."""
