"""What happens to one item: sold, returned, corrected."""
