"""Steps that bring the records of an older program up to date."""
