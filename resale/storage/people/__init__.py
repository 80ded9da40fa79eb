"""Who works here, and what they did."""
