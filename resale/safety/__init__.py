"""Safety: what stops a ticket until a lead clears it, and what to do meanwhile."""
