"""Training: drills, cards, schedules, and how far sorters agree."""
