"""Courses: which signs somebody learns on which day, and when they know them."""
