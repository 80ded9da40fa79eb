"""What is held."""
