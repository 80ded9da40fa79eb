"""Drawn exercises: seeded, endless, with known truth. Pure: numbers in, SVG text out."""

from resale.training.drawings.exercise import LEVELS, Answer, Exercise
from resale.training.drawings.families import FAMILIES, make
from resale.training.drawings.family import Family

__all__ = ["FAMILIES", "LEVELS", "Answer", "Exercise", "Family", "make"]
