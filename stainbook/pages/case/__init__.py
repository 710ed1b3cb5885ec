"""The case page: the arch, the advice, mixes by hand."""
