"""One module a job: fetches from book and files, computes, hands back a result of ``work.schemas``.

Modules are imported by name where they are needed, so that a light command stays light.
"""
