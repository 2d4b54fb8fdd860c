"""Labels that say what a number is, where that is none of a part's own ratings: serial numbers, standards, locked-rotor
amperes, impedance (table plate_labels). The number is theirs, so that no field may take it for a bare rating.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from partsdb.model import Reading
from partsdb.reading.channel import Plate
from partsdb.reading.pieces import NUMBER, Entry, Piece, pieces_of, plate_units, table


@dataclass(frozen=True, slots=True)
class Labelled:
    """A label, its number and that one's unit: the table's row, and their places in the text (pieces by index)."""

    row: Mapping[str, str]
    label: range
    number: int

    unit: int | None = None

    @property
    def pieces(self) -> range:
        """All of its pieces: label, number and the number's unit."""
        own = (self.label[0], self.label[-1], self.number, self.number if self.unit is None else self.unit)
        return range(min(own), max(own) + 1)


def labelled(text: str, kinds: Sequence[str]) -> Iterator[Labelled]:
    """The labels of a text that explain a number away on plates of these kinds, in order."""
    pieces = pieces_of(text)
    at = 0
    while at < len(pieces):
        found = next(_at(pieces, at, kinds), None)
        if found is not None:
            yield found
        at += 1 if found is None else max(1, found.pieces[-1] + 1 - at)


def claims(reading: Reading, plate: Plate, kind: str) -> tuple[tuple[range, range], ...]:
    """(glyphs of the label, glyphs of its number) of every label on the plate that explains its number away there."""
    found = []
    for n, fragment in enumerate(reading.fragments):
        pieces = pieces_of(fragment.text)
        for one in labelled(fragment.text, (kind,)):
            label = _glyphs(plate, n, pieces[one.label[0]].start, pieces[one.label[-1]].end)
            number = _glyphs(plate, n, pieces[one.number].start, pieces[one.number].end)
            if label and number:
                found.append((label, number))
    return tuple(found)


def _glyphs(plate: Plate, fragment: int, start: int, end: int) -> range:
    """The glyphs of a stretch of a fragment as typed."""
    own = [i for i, (n, at, _) in enumerate(plate.where) if n == fragment and start <= at < end]
    return range(own[0], own[-1] + 1) if own else range(0)


def _at(pieces: Sequence[Piece], at: int, kinds: Sequence[str]) -> Iterator[Labelled]:
    for entry in table("plate_labels", "label").at(pieces, at):
        if not any(map(entry.of, kinds)):
            continue
        label = range(at, at + len(entry.words))
        if "#" in entry.words:
            yield Labelled(entry.row, label, at + entry.words.index("#"))
            continue
        for side, number in (("before", at + len(entry.words)), ("behind", at - 1)):
            if (
                entry.row["side"] in (side, "either")
                and 0 <= number < len(pieces)
                and _counts(pieces[number], entry)
            ):
                behind = number + 1
                unit = behind if behind < len(pieces) and pieces[behind].folded in plate_units() else None
                yield Labelled(entry.row, label, number, unit if side == "before" else None)


def _counts(piece: Piece, entry: Entry) -> bool:
    """Whether a piece is such a label's number: digits, or for what only names the part a code with digits."""
    if NUMBER.match(piece.folded):
        return True
    return entry.row["class"] == "harmless" and any(c.isdigit() for c in piece.folded)
