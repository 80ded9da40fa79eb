"""The commands of a chain: `sales.py` its sales in one folder, `desk.py` its shops side by side."""
