"""Raising and clearing holds."""
