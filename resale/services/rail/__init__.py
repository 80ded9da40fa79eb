"""What happens to items on the rail: put out, marked down, priced again, passed on."""
