"""Drawn fronts and shirts."""
