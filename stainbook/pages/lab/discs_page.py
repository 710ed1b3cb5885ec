"""To be drawn."""
