"""What a thing is and how it was made: kinds, signals, the rule book, measures. Pure."""
