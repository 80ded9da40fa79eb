"""Reading, valuing and saving items."""
