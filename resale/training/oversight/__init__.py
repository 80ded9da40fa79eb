"""How far somebody's readings can be left alone, and what makes them better."""
