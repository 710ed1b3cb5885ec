"""The faces of ``Lab``: what commands, pages and notebooks ask for, by topic; each method is one call to the work.

The ``*_types`` modules name what goes in and comes out: plain frozen data, and words and shapes of it.
"""
