"""The steps from each version of the book's tables to the next.

A new step is a module ``versions/rNNNN_what.py`` that names the revision before it, and the change
to ``schema`` that it leads to, with ``schema.REVISION`` set to the new step. It runs on both stores
inside one transaction; a test holds the steps and ``schema`` to each other.
"""
