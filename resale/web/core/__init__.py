"""What every screen stands on."""
