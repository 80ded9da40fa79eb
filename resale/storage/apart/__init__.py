"""Work that a stranger's file gets a process of its own for, with so much memory and time."""
