"""From what was looked at to a price and its reasons. Arrays in, arrays out; no clock, no files."""
