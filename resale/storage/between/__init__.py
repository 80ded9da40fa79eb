"""What the processes that serve one shop's folder tell each other."""
