"""Drills on what keeps warm: what a filling is, and whether it still stands."""
