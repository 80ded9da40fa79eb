"""Who works here and what opens the door to them: each change with its line in the audit log."""
