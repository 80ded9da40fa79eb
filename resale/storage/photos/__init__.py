"""Photos."""
