"""What is kept: models, items and sales in files, and the shop's own records."""
