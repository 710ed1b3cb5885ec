"""The start page and the page of a new case."""
