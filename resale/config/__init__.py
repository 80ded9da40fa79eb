"""What a shop may set, and where things lie."""
