"""The readings page, and readings corrected."""
