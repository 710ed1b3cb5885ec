"""The targets page: where each zone must go, and how the piece is set up."""
