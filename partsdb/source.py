"""Where a value or a rule comes from, and how far it was checked.

Every number that decides something carries a Source; every answer can print it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

Status = Literal[
    "verified",  # seen in the standard, or in an independent text that quotes it
    "reproduction",  # seen only in makers' reproductions of the standard's table
    "derived",  # our arithmetic on a verified rule
    "common practice",  # trade knowledge, no single source
    "from memory",  # nobody on this project has seen it in print yet
    "stated",  # on the plate, in a supplier's list, or said by the person
    "measured",  # read off an instrument
    "judgement",  # our own choice, open to argument
]


@dataclass(frozen=True, slots=True)
class Source:
    """A citation (standard and clause, file and row, tool, person) and its status."""

    citation: str
    status: Status

    def __str__(self) -> str:
        return f"{self.citation} ({self.status})"


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a record came from: the list and its row, when, and how it was read."""

    source: str
    row: int
    importer: str
    at: datetime


UNSTATED = Source("not stated", "stated")
PRACTICE = Source("common practice", "common practice")


def plate(text: str) -> Source:
    """A value read off the plate; `text` is the part of the plate that says it."""
    return Source(f"plate: {text}", "stated")


def measured(tool: str) -> Source:
    """A value read off an instrument."""
    return Source(f"measured with {tool}", "measured")


def said(by: str = "you") -> Source:
    """A value a person gave without an instrument."""
    return Source(f"stated by {by}", "stated")


def file_row(name: str, row: int) -> Source:
    """A value from a row of an imported file."""
    return Source(f"{name}:{row}", "stated")


ON_RECORD = "on record for "


def on_record(number: str) -> Source:
    """A value that the records hold under a number which stands on the part."""
    return Source(f"{ON_RECORD}{number}", "stated")


def judgement(why: str) -> Source:
    """A choice of this program's, with its reason."""
    return Source(why, "judgement")


def parse(text: str) -> Source:
    """The Source that `str()` printed: the inverse used by the store.

    >>> parse(str(measured("calipers"))) == measured("calipers")
    True
    """
    citation, _, status = text.rpartition(" (")
    word = status.removesuffix(")")
    for known in Status.__args__:  # type: ignore[attr-defined]  # Literal has no typed accessor for its words
        if known == word:
            return Source(citation, known)
    return Source(text, "stated")
