"""What the lab learns from its outcomes: hands, lots, programmes."""

from __future__ import annotations

from stainbook.book import Book
from stainbook.work.book_schemas import Learnt


def learn_from(book: Book) -> list[Learnt]:
    """Learn from the chips and all outcomes of the book; what can be told apart, each in a sentence."""
    return []
