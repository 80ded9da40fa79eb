"""Drills on knitting: how fine it is, and how one piece is joined to another."""
