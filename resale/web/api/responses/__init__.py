"""What the API answers, by what it is about."""
