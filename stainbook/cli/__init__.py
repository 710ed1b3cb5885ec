"""The commands. They ask ``stainbook.work`` and print; they compute nothing.

``main`` is the way in. A command is one function in a module of its subject, registered in
``commands``; what is heavy is imported inside it.
"""

from stainbook.cli.run import main

__all__ = ["main"]
