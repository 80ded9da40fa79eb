"""Who is let in, and what is theirs to do."""
