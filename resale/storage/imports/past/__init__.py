"""Files of past sales: tried, sorted, loaded."""
