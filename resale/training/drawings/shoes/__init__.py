"""Drawn shoes."""
