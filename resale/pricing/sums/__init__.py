"""A fit as sums over lots of sales, wherever the lots lie."""
