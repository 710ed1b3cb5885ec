"""Stains, colours and firings of a dental ceramic lab: from readings to ranked next steps."""

__version__ = "0.1.0"
