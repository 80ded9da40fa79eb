"""Words that must not pass unasked: the table, the spelling, and what they raise."""
