"""Drills on what is seen from two steps away: outline, colour, and what hangs together."""
