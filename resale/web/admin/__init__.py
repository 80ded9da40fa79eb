"""Copies, photos, the invented shop."""
