"""The steps from each version of the book's tables to the next."""
