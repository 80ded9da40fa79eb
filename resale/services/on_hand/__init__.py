"""Items on hand: where each stands, what it is worth, what is planned for it."""
