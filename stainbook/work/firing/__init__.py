"""Firings: what was painted and fired, what came out of it, and corrections of both."""
