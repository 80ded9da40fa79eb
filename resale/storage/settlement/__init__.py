"""Records of the accounts: entries and postings, statements, closed days."""
