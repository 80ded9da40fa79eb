"""Many shops in one fit: what they share, and what stays each one's own. Pure."""
