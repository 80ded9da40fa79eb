"""The use cases, one file each: the only way from a screen, a command or a device to the records.

Each is one transaction: what happened, and the line of the audit log on who did it, are written
together or not at all.
"""
