"""What a chain does with its warehouse: bring sales in, learn from all, value all."""
