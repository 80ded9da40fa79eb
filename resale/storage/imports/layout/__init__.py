"""How a file is laid out: its letters, its heading, the days of its spreadsheet."""
