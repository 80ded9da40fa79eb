"""Copies of the shop, and the way back."""
