"""Fibre labels: names in nine languages, and what a label says."""
