"""The Drill and agreement."""
