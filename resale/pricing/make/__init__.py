"""Make: the hidden grade that many signs of a thing speak of together."""
