"""The result of a firing, and the delivery."""
