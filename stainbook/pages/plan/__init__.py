"""The plan of a case and its bench sheet."""
