"""What goes out, within the rail."""
