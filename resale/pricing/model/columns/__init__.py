"""What items become before a price is fitted: columns, and the sums over them."""
