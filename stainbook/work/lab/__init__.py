"""The lab's book: what it holds, its recipes and numbers, settings, exchange with other labs."""
