"""Surfaces under a glass: how a cloth is made, what a skin is, whether a print holds."""
