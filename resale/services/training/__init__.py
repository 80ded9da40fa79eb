"""What is kept of training: second looks at a day of items."""
