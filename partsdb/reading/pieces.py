"""A typed text in pieces, and tables of words that are looked up in it whole, sign for sign.

A piece is what stands between blanks and marks that only separate; a comma or colon between two digits belongs to them.
No legible sign of a piece may be left over or missing, and a longer word goes before the shorter ones inside it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from partsdb.tables import load
from partsdb.units import units

_PIECE = re.compile(r"(?:[^\s,;:|()]|(?<=\d)[,:](?=\d))+")
NUMBER = re.compile(r"\d+(?:[.,/-]\d+)*")
Words = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece as typed, folded for looking up, and where it stands in its text."""

    text: str
    folded: str
    start: int
    end: int


def pieces_of(text: str) -> tuple[Piece, ...]:
    """The pieces of a text.

    >>> [p.text for p in pieces_of("IS:2993  1,5/2,2 kW (max.)")]
    ['IS', '2993', '1,5/2,2', 'kW', 'max.']
    """
    return tuple(Piece(m.group(), folded(m.group()), m.start(), m.end()) for m in _PIECE.finditer(text))


def folded(text: str) -> str:
    """Upper case without accents; dots at the end of a short form don't count.

    >>> folded("Läufer"), folded("Nr.")
    ('LAUFER', 'NR')
    """
    plain = unicodedata.normalize("NFKD", text.upper())
    return "".join(c for c in plain if not unicodedata.combining(c)).rstrip(".")


def words_of(text: str) -> Words:
    """A table's word in folded pieces."""
    return tuple(piece.folded for piece in pieces_of(text))


def stands(words: Words, pieces: Sequence[Piece], at: int) -> bool:
    """Whether the words stand there, each piece whole; # is any number."""
    there = pieces[at : at + len(words)]
    return len(there) == len(words) and all(
        bool(NUMBER.fullmatch(piece.folded)) if word == "#" else word == piece.folded
        for word, piece in zip(words, there, strict=True)
    )


@dataclass(frozen=True, slots=True)
class Entry:
    """A row of a table of words, and its word in pieces."""

    row: Mapping[str, str]
    words: Words

    def of(self, kind: str) -> bool:
        """Whether the row speaks of that kind of part."""
        families = self.row.get("families", "")
        return not families or kind in families.split("|")


class Lookup:
    """Words by their first piece, the longest first."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self._first: dict[str, list[Entry]] = {}
        for entry in entries:
            if entry.words:
                self._first.setdefault(entry.words[0], []).append(entry)
        for entries_ in self._first.values():
            entries_.sort(key=lambda e: -len(e.words))

    def at(self, pieces: Sequence[Piece], at: int) -> Iterator[Entry]:
        """The entries whose words stand there, the longest first."""
        first = pieces[at].folded
        numbered = self._first.get("#", ()) if NUMBER.fullmatch(first) else ()
        for entry in sorted((*self._first.get(first, ()), *numbered), key=lambda e: -len(e.words)):
            if stands(entry.words, pieces, at):
                yield entry


@cache
def table(name: str, column: str = "word", shortest: int = 1) -> Lookup:
    """A table of the program as a look-up; words shorter than `shortest` signs are left out."""
    rows = (row for row in load(name).rows if len(row[column]) >= shortest)
    return Lookup(Entry(row, words_of(row[column])) for row in rows)


@cache
def spelled(texts: tuple[str, ...]) -> Lookup:
    """Plain texts as a look-up."""
    return Lookup(Entry({}, words_of(text)) for text in texts)


@cache
def plate_units() -> Mapping[str, str]:
    """Every unit as a plate spells it, folded, and what it measures."""
    plain = {
        folded(way): f"a {u.dimension}" for u in units().values() for way in u.spellings if way.isalpha()
    }
    more = {folded(row["unit"]): row["meaning"] for row in load("plate_units").rows}
    return {name: meaning for name, meaning in {**plain, **more, "%": "a share"}.items() if name}
