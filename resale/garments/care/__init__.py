"""What a care label says, in words, and what the buyer should be told of it."""
