"""What things are worth, learned from all price periods: sold and unsold alike."""
