"""Whether a reading says what is legible, glyph for glyph: nothing dropped, added or changed, and nothing taken for
granted that would have to stand there.

    exact       the glyphs are one of the row's writings, illegible ones standing for any
    unstated    the value stands there, but not the label that the writing needs ("25 A" read as "25 A DC")
    changed     no writing of the row has these glyphs: one was taken for another, for none, or put there
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from partsdb.family import Family, Field, Row, Writing
from partsdb.model import Faith
from partsdb.reading.channel import Plate
from partsdb.reading.fragments import fold_text
from partsdb.reading.lexicon import core_texts
from partsdb.reading.templates import Shape, shape

_IDLE = frozenset(".,:;°=()\"'*|")  # marks that say nothing, unless a digit stands on either side
_CLOSED = re.compile(r"\.\d*?(0+)(?!\d)")  # the noughts that close a decimal
_JOINING = frozenset("-/.")  # marks that say something between two digits only


def faith(family: Family, field: Field, row: Row, plate: Plate, start: int, end: int) -> Faith:
    """How faithful a row is to the glyphs [start, end) that it was read from. A word may be cut off where its fragment
    ends."""
    seen, cut = _Seen(plate, start, end), plate.gap[end] == 2
    found: Faith = "changed"
    for form in map(_shape, field.writings):
        before = _plain(text for text, _ in form.prefixes)
        behind = _plain(text for text, _ in form.suffixes)
        core = _plain(text for flat, _ in form.cores for text, _ in core_texts(family, field, row, flat))
        if seen.written(before, core, behind, cut=cut):
            return "exact"
        if seen.written(before | {""}, core, behind | {""}, cut=cut) or seen.holds(core):
            found = "unstated"
    # a rating under a condition that doesn't stand there is another rating
    conditional = any("@" in name for name in field.attributes)
    return "changed" if found == "unstated" and conditional else found


@lru_cache(maxsize=4096)
def _shape(writing: Writing) -> Shape:
    return shape(writing)


def _plain(texts: Iterable[str]) -> frozenset[str]:
    return frozenset(_without_idle(fold_text(text)) for text in texts)


def _without_idle(text: str) -> str:
    """A text of a writing without the marks that say nothing; beside a digit at its end there may be another."""
    around = f"0{text}{'0' if not text[-2:-1].isalpha() else ' '}"
    return "".join(
        char for k, char in enumerate(text) if char != " " and not _idle(char, around[k], around[k + 2])
    )


def _idle(char: str, before: str, behind: str) -> bool:
    """Whether a mark between these two says nothing."""
    if char in _JOINING:
        return not (behind.isdigit() and (before.isdigit() or char == "."))
    return char in _IDLE


class _Seen:
    """Glyphs to hold texts against: what each may be, and which may be passed over."""

    def __init__(self, plate: Plate, start: int, end: int) -> None:
        def near(i: int, gap: int) -> str:
            return "" if plate.gap[gap] or not start <= i < end else plate.visible(i)

        self.glyphs = plate.glyphs[start:end]
        self.apart = tuple(gap > 0 for gap in plate.gap[start:end])
        self.free = tuple(
            g.run or not g.chars or (len(g.chars) == 1 and _idle(g.chars, near(i - 1, i), near(i + 1, i + 1)))
            for i, g in enumerate(self.glyphs, start)
        )
        self.free = tuple(free or self._closing_nought(k) for k, free in enumerate(self.free))

    def _closing_nought(self, k: int) -> bool:
        """Whether a nought only closes a decimal (".150")."""
        line = "".join(
            (" " if self.apart[i] and i else "") + (g.chars if len(g.chars) == 1 else "?")
            for i, g in enumerate(self.glyphs)
        )
        at = k + sum(self.apart[i] for i in range(1, k + 1))
        return any(m.start(1) <= at < m.end(1) for m in _CLOSED.finditer(line))

    def written(
        self, before: frozenset[str], core: frozenset[str], behind: frozenset[str], *, cut: bool
    ) -> bool:
        """Whether the glyphs are one text of each, one after the other."""
        places = self._opened({0})
        for texts in (before, core):
            places = {end for text in texts for end in self._after(places, text)}
            if not places:
                return False
        end = len(self.glyphs)
        if any(end in self._after(places, text) for text in behind):
            return True
        return cut and any(self._cut(places, text) for text in behind)

    def holds(self, core: frozenset[str]) -> bool:
        """Whether one of the texts stands among the glyphs as a word or number of its own, whatever stands round it."""
        starts = [k for k in range(len(self.glyphs)) if not self._joined(k)]
        ends = {k for k in range(1, len(self.glyphs) + 1) if not self._joined(k)}
        return any(ends & self._after({k}, text) for k in starts for text in core if text)

    def _joined(self, k: int) -> bool:
        """Whether the glyphs on both sides of k are of one word or one number."""
        if not 0 < k < len(self.glyphs) or self.apart[k]:
            return False
        if self.glyphs[k - 1].chars == "." and self.glyphs[k].chars.isdigit():
            return True
        kinds = {
            "digit" if c.isdigit() else c.isalpha() for c in self.glyphs[k - 1].chars + self.glyphs[k].chars
        }
        return len(kinds) == 1

    def _cut(self, places: set[int], text: str) -> bool:
        """Whether the glyphs end inside a word of the text."""
        end = len(self.glyphs)
        return any(text[k:].isalpha() and end in self._after(places, text[:k]) for k in range(1, len(text)))

    def _after(self, places: set[int], text: str) -> set[int]:
        """Where the glyphs may go on once the text has been written at one of the places."""
        for char in text:
            after: set[int] = set()
            for at in places:
                if at == len(self.glyphs):
                    continue
                glyph = self.glyphs[at]
                if glyph.run:
                    after.add(at)
                elif not glyph.chars or char in glyph.chars:
                    after.add(at + 1)
            places = self._opened(after)
            if not places:
                break
        return places

    def _opened(self, places: set[int]) -> set[int]:
        """The places, and those behind what may be passed over there."""
        found = set(places)
        for at in places:
            while at < len(self.glyphs) and self.free[at]:
                at += 1
                found.add(at)
        return found
