"""The form of an item, read and laid out: the Bench and the Drill ask by the same one."""
