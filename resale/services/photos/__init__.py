"""Photos of items: added, tied to a sign, looked at by a lead, removed."""
