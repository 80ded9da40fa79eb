"""Tickets on paper."""
