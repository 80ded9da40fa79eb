"""Items and their valuations."""
