"""The photo page."""
