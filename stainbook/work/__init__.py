"""The jobs: a folder names the job, a module one step of it.

Each fetches from book and files, computes, and hands back a result of ``work.documents``. A room imports from those
below it: app, sheets, lab, photo, firing, case, stains, reading, documents. Modules are imported by name where they
are needed, so that a light command stays light.
"""
