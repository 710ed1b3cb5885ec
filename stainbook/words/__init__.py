"""The sentences of the project: one place for each, for commands, pages, sheets, the PDF and JSON's ``why``.

Pure: what is told comes as data from the engine and the documents, words go out. Nothing heavy is loaded here.
"""
