"""A word that isn't known, and the known one it was probably meant for."""

from __future__ import annotations

from collections.abc import Iterable

from rapidfuzz import fuzz, process

ALIKE = 70  # percent of glyphs in common below which a guess only confuses; judgement


def meant(word: str, among: Iterable[str]) -> str:
    """ "Did you mean ...? " when one of the known words is much like it, else nothing.

    >>> meant("berring", ["rolling bearing", "bearing", "contactor"])
    'Did you mean bearing? '
    >>> meant("teapot", ["bearing", "contactor"])
    ''
    """
    known = {name.casefold(): name for name in among}
    found = process.extractOne(word.casefold(), list(known), scorer=fuzz.ratio, score_cutoff=ALIKE)
    return f"Did you mean {known[found[0]]}? " if found else ""
