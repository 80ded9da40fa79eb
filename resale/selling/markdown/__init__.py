"""Demand, and when to mark down."""
