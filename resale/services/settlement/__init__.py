"""Settlement: what is entered, who is owed what, statements, payouts, closed days."""
