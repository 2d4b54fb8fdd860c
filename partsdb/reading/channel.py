"""The glyph channel: how likely what is seen is, given what was written, against chance.

    P(seen | written)    1 - m for the glyph itself; m, the plate's rate of misreadings, shared between its lookalikes
                         (tables/glyphs.csv) and, a small part, all glyphs (worn strokes nobody listed)
    P(seen | chance)     a plain model of everything else a plate carries: makers' names, serial numbers
    illegible glyph      says nothing: log odds 0 for every glyph
    run                  a geometric number of illegible glyphs

Scores are log odds of "this text was written here" against chance [nat].
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from partsdb.model import Fragment, Glyph, Reading
from partsdb.reading.fragments import FRACTIONS
from partsdb.tables import load

# A legible glyph is taken for another one: seldom on a plate that is legible throughout, more often where others are
# lost; so many for each one lost, and no more than that. Judgement.
MISREAD, MISREAD_PER_LOST, MISREAD_MOST = 0.009, 0.2, 0.06
UNLISTED = 0.25  # share of misreadings that the table doesn't list
INSERTED = -7.0  # a glyph on the plate that the text doesn't have [nat]
INSERTED_ILLEGIBLE = -2.2  # the same when it is illegible (dirt taken for a glyph)
DELETED = -5.0  # a glyph of the text that left no trace
RUN_FIRST, RUN_NEXT = -0.7, -0.2  # a run swallows its first and each further glyph of the text
CUT_FIRST, CUT_NEXT = -4.5, -0.2  # a word goes on beyond the end of the fragment, and nobody typed ...
CUT_LABEL = -2.5  # a label that belongs before or behind a fragment is lost
MOST_GLYPHS = 600  # glyphs of one reading that are decoded; a plate holds some two hundred

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_DIGITS = "0123456789"
_SIGNS = "./-+±°%~\"'=:()#*&;Ω_<>|!@$^²³Ø"
ALPHABET = _LETTERS + _DIGITS + _SIGNS
OTHER = len(ALPHABET)  # any glyph that is not in the alphabet
SIZE = OTHER + 1
_INDEX = {c: i for i, c in enumerate(ALPHABET)}

Floats = NDArray[np.float64]


def code(char: str) -> int:
    """A folded glyph's place in the alphabet."""
    return _INDEX.get(char, OTHER)


def glyph_class(char: str) -> int:
    """0 digit, 1 letter, 2 sign: what makes two neighbours one word."""
    return 0 if char in _DIGITS else 1 if char in _LETTERS else 2


@cache
def _entry_classes() -> tuple[int, ...]:
    return (*(glyph_class(char) for char in ALPHABET), 2)


def entry_class(code: int) -> int:
    """`glyph_class` of an alphabet entry."""
    return _entry_classes()[code]


@cache
def chance() -> Floats:
    """P(glyph) on any plate, whatever the part (digits 45 %, letters 45 %, signs 10 %)."""
    share = np.empty(SIZE)
    share[: len(_LETTERS)] = 0.45 / len(_LETTERS)
    share[len(_LETTERS) : len(_LETTERS) + len(_DIGITS)] = 0.45 / len(_DIGITS)
    share[len(_LETTERS) + len(_DIGITS) :] = 0.10 / (SIZE - len(_LETTERS) - len(_DIGITS))
    for sign, p in ((".", 0.03), ("/", 0.02), ("-", 0.02)):
        share[code(sign)] = p
    return np.asarray(share / share.sum())


def misreading(legible: float) -> float:
    """The rate of misreadings [-] on a plate of which this share of the glyphs is legible [-].

    >>> [round(misreading(x), 3) for x in (1.0, 0.8, 0.0)]
    [0.009, 0.049, 0.06]
    """
    return min(MISREAD_MOST, MISREAD + MISREAD_PER_LOST * (1 - legible))


@cache
def _lookalikes() -> Floats:
    """P(seen | written, misread) [-], one row per glyph written. Rows sum to one."""
    weight = np.zeros((SIZE, SIZE))
    for row in load("glyphs").rows:
        a, b = code(row["a"]), code(row["b"])
        weight[a, b] = weight[b, a] = float(row["weight"])
    total = weight.sum(axis=1, keepdims=True)
    listed = np.divide(weight, total, out=np.zeros_like(weight), where=total > 0)
    anything = np.full((SIZE, SIZE), 1.0 / (SIZE - 1))
    np.fill_diagonal(anything, 0.0)
    unlisted = np.where(total > 0, UNLISTED, 1.0)
    return np.asarray(unlisted * anything + (1 - unlisted) * listed)


def confusion(misread: float) -> Floats:
    """P(seen | written) [-] at that rate of misreadings [-], one row per glyph written. Rows sum to one."""
    return np.asarray(misread * _lookalikes() + (1 - misread) * np.eye(SIZE))


def log_odds(glyph: Glyph, table: Floats) -> Floats:
    """log P(seen | written c) - log P(seen | chance) [nat] for every c, by a table of `confusion`; zeros when
    illegible."""
    if not glyph.chars:
        return np.zeros(SIZE)
    seen = [code(c) for c in glyph.chars]
    return np.asarray(np.log(table[:, seen].sum(axis=1)) - np.log(chance()[seen].sum()))


@dataclass(frozen=True, slots=True, eq=False)
class Plate:
    """A reading's glyphs in one line, ready for the decoder.

    gap: what stands before each glyph (0 nothing, 1 a blank, 2 the start of a fragment; one more entry for
    the end of the last); odds: log odds per glyph and alphabet entry; where: (fragment, start, end) as typed;
    legible: share of the glyphs that say something [-].
    """

    glyphs: tuple[Glyph, ...]
    gap: tuple[int, ...]
    odds: Floats
    where: tuple[tuple[int, int, int], ...]
    legible: float

    def __len__(self) -> int:
        return len(self.glyphs)

    def pieces(self) -> tuple[range, ...]:
        """The glyphs of each piece: what stands between two blanks or ends of fragments."""
        starts = [i for i in range(len(self)) if self.gap[i]] + [len(self)]
        return tuple(range(a, b) for a, b in pairwise(starts))

    def visible(self, i: int) -> str:
        """The glyph at i when it is certain, else ""."""
        return self.glyphs[i].chars if 0 <= i < len(self) and len(self.glyphs[i].chars) == 1 else ""


def _typed_end(fragment: Fragment, k: int) -> int:
    """Where glyph k ends in the fragment as typed."""
    glyph = fragment.glyphs[k]
    if glyph.run:
        end = glyph.at
        while end < len(fragment.text) and fragment.text[end] in ".…":
            end += 1
        return end
    if fragment.text[glyph.at] == "[":
        return fragment.text.index("]", glyph.at) + 1
    return glyph.at + 1


def _apart(fragment: Fragment, k: int) -> bool:
    """Whether something stands between glyph k and the one before: a blank, or a whole number before its fraction."""
    glyph, last = fragment.glyphs[k], fragment.glyphs[k - 1]
    before = fragment.text[glyph.at - 1]
    broken = fragment.text[glyph.at] in FRACTIONS and last.chars.isdigit()
    return last.at < glyph.at and (before.isspace() or broken)


def plate_of(reading: Reading) -> Plate:
    """The reading's fragments as one line of glyphs (at most MOST_GLYPHS of them)."""
    glyphs: list[Glyph] = []
    gap: list[int] = []
    where: list[tuple[int, int, int]] = []
    for n, fragment in enumerate(reading.fragments):
        for k, glyph in enumerate(fragment.glyphs):
            glyphs.append(glyph)
            gap.append(2 if k == 0 else int(_apart(fragment, k)))
            where.append((n, glyph.at, _typed_end(fragment, k)))
    del glyphs[MOST_GLYPHS:], gap[MOST_GLYPHS:], where[MOST_GLYPHS:]
    legible = sum(bool(g.chars) for g in glyphs) / len(glyphs) if glyphs else 0.0
    table = confusion(misreading(legible))
    odds = np.array([log_odds(g, table) for g in glyphs]).reshape(len(glyphs), SIZE)
    return Plate(tuple(glyphs), (*gap, 2), odds, tuple(where), legible)
