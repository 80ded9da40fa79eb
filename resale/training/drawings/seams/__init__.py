"""Drawn seams and cloth."""
