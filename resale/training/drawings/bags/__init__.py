"""Drills on bags: where they are rubbed first."""
