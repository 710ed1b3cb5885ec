"""The lab's pages: stains, recipes, numbers, exchange, settings."""
