"""Drills on edges, hems and folds: what a hand did, what a machine did, and what nobody did."""
