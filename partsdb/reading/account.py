"""Words that no family reads: they change what a part is or bears, tell its condition, or name another kind of part.

They are matched whole, sign for sign, against tables/change_words.csv and part_nouns.csv: no legible sign of a piece
may be left over or missing, and a longer word goes before the shorter ones inside it. What a family reads itself is
the family's.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from partsdb.family import Family
from partsdb.model import Question
from partsdb.tables import load

SHORTEST = 3  # a code of one or two signs counts only behind a part's own number, which isn't looked at here
Row = tuple[Mapping[str, str], tuple[str, ...]]  # a row of the table, and its word in pieces
Own = Mapping[str, Sequence[tuple[str, ...]]]
_PIECE = re.compile(r"[^\s,;:|()]+")
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")


@dataclass(frozen=True, slots=True)
class Remark:
    """A word found on a part: as it stands there, whether it "changes" the part or tells of "damage", what it means for
    a fitter, and what to ask or do."""

    as_written: str
    kind: str
    meaning: str
    ask: str


def remarks(texts: Iterable[str], family: Family) -> tuple[Remark, ...]:
    """What the texts say of a part of this kind beside what the family reads, in their order, each once.

    >>> from partsdb.family import families
    >>> [r.kind for r in remarks(["3 HP 1450 RPM", "BRAKE 150 NM"], families()["ac_motor"])]
    ['changes']
    """
    own = _read_by(family)
    found = (one for text in texts for one in _in_text(text, family.name, own))
    return tuple(dict.fromkeys(one for one in found if one.kind != "harmless"))


def asked_about(found: Sequence[Remark]) -> tuple[Question, ...]:
    """Each word that changes a part as a question: until it is answered, nothing replaces it."""
    return tuple(
        Question(f'"{one.as_written}" on it', one.ask, "safety", one.meaning, of_part=True)
        for one in found
        if one.kind == "changes"
    )


@dataclass(frozen=True, slots=True)
class OtherKind:
    """A kind of part that nobody here has rules for, and the noun on the plate that names it."""

    kind: str
    as_written: str

    @property
    def told(self) -> str:
        """What a person is told of it."""
        return (
            f'This reads like a {self.kind} ("{self.as_written}"): there are no rules for one here. '
            "What is said of it holds only if it is something else."
        )

    @property
    def question(self) -> Question:
        """What stops everything until somebody has looked."""
        about = f'whether it is a {self.kind} ("{self.as_written}" on it)'
        return Question(
            about, "look at it", "safety", "what is judged here is another kind of part", of_part=True
        )


def other_kind(texts: Iterable[str], families: Iterable[Family]) -> OtherKind | None:
    """The kind that a noun at the head of a text names, when nobody has rules for it and no noun there names a kind
    that is known ("TIMING BELT T10 780"; a plate with MOTOR on it is a motor's, whatever the motor drives).

    >>> from partsdb.family import families
    >>> other_kind(["TIMING BELT T10 780"], families().values()).kind
    'timing belt'
    >>> other_kind(["PUMP MOTOR 3 HP"], families().values())
    """
    every = tuple(families)
    known = {family.name for family in every}
    named = _by_first(tuple(name for family in every for name in (family.title, *family.words)))
    spelled = [_read_by(family) for family in every]
    heads: list[OtherKind] = []
    for text in texts:
        pieces = _PIECE.findall(text)
        folded, at = [_folded(piece) for piece in pieces], 0
        while at < len(pieces):
            own = max((len(w) for w in named.get(folded[at], ()) if _stands(w, folded, at)), default=0)
            found = next((r for r in _nouns().get(folded[at], ()) if _stands(r[1], folded, at)), None)
            length = len(found[1]) if found else 0
            if own >= max(length, 1) or (found and found[0]["family"] in known):
                return None
            read = any(_stands(w, folded, at) for spelt in spelled for w in spelt.get(folded[at], ()))
            if found and at == 0 and not read:
                heads.append(OtherKind(found[0]["kind"], " ".join(pieces[:length])))
            at += max(length, 1)
    return heads[0] if heads else None


def _in_text(text: str, kind: str, own: Own) -> Iterable[Remark]:
    pieces = _PIECE.findall(text)
    folded = [_folded(piece) for piece in pieces]
    at = 0
    while at < len(pieces):
        read = max((len(words) for words in own.get(folded[at], ()) if _stands(words, folded, at)), default=0)
        found = next((row for row in _starting(folded[at]) if _speaks(row, kind, folded, at)), None)
        if found is None or len(found[1]) <= read:
            at += max(read, 1)
            continue
        row, words = found
        yield Remark(" ".join(pieces[at : at + len(words)]), row["class"], row["meaning"], row["ask"])
        at += len(words)


def _stands(words: Sequence[str], pieces: Sequence[str], at: int) -> bool:
    """Whether the words stand there, each piece whole; # is any number."""
    there = pieces[at : at + len(words)]
    return len(there) == len(words) and all(map(_same, words, there))


def _speaks(row: Row, kind: str, pieces: Sequence[str], at: int) -> bool:
    of = row[0]["families"]
    return (not of or kind in of.split("|")) and _stands(row[1], pieces, at)


def _same(word: str, piece: str) -> bool:
    return bool(_NUMBER.fullmatch(piece)) if word == "#" else word == piece


def _starting(piece: str) -> Sequence[Row]:
    """The table's rows that may begin with this piece, longest first."""
    table = _table()
    numbers = table.get("#", ()) if _NUMBER.fullmatch(piece) else ()
    return (*table.get(piece, ()), *numbers)


@cache
def _nouns() -> Mapping[str, tuple[Row, ...]]:
    return _by_first_piece("part_nouns")


@cache
def _table() -> Mapping[str, tuple[Row, ...]]:
    return _by_first_piece("change_words")


def _by_first_piece(table: str) -> Mapping[str, tuple[Row, ...]]:
    found: dict[str, list[Row]] = {}
    for row in load(table).rows:
        if len(row["word"]) >= SHORTEST:
            words = tuple(_folded(word) for word in row["word"].split())
            found.setdefault(words[0], []).append((row, words))
    return {first: tuple(sorted(rows, key=lambda r: -len(r[1]))) for first, rows in found.items()}


def _read_by(family: Family) -> Own:
    """What the family reads itself, by its first piece: the spellings of its code words."""
    return _by_first(
        tuple(word for a in family.attributes for code in a.codes for word in a.spellings.get(code, (code,)))
    )


@cache
def _by_first(spellings: tuple[str, ...]) -> Own:
    found: dict[str, list[tuple[str, ...]]] = {}
    for spelling in spellings:
        words = tuple(_folded(piece) for piece in _PIECE.findall(spelling))
        if words:
            found.setdefault(words[0], []).append(words)
    return found


def _folded(text: str) -> str:
    """Upper case without accents; dots at the end of a short form don't count."""
    plain = unicodedata.normalize("NFKD", text.upper())
    return "".join(c for c in plain if not unicodedata.combining(c)).rstrip(".")
