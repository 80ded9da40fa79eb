"""One cell: an amount, a date, an option, money, or why it is none."""
