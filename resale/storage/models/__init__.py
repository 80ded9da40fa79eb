"""Fits, model files and the rule book in use."""
