"""What is practised next, and when."""
