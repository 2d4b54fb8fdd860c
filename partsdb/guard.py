"""Texts from outside that must not act: not as a formula in a spreadsheet, not on the terminal.

A cell that begins with = + - @, their full-width twins, a tab or a line end gets an apostrophe before it; so does
one that is apostrophes and then one of these, or nothing but apostrophes, so that taking one off is exact.
"""

from __future__ import annotations

import re
import unicodedata

_ACTS = re.compile(r"'*[=+\-@\t\r\n＝＋－＠]|'+\Z")
_GUARDED = re.compile(r"''*(?:[=+\-@\t\r\n＝＋－＠]|\Z)")


def guarded(text: str) -> str:
    """The text as it may stand in a cell.

    >>> guarded('=HYPERLINK("x")'), guarded("6206-2Z")
    ('\\'=HYPERLINK("x")', '6206-2Z')
    """
    return f"'{text}" if _ACTS.match(text) else text


def unguarded(cell: str) -> str:
    """The text of a cell that `guarded` wrote.

    >>> unguarded("'-25 °C")
    '-25 °C'
    """
    return cell[1:] if _GUARDED.match(cell) else cell


def clean(text: str) -> str:
    """The text without control and bidirectional-override characters, which could rewrite the screen.

    >>> clean("belt\\x1b[2J")
    'belt[2J'
    """
    return "".join(c for c in text if c == "\n" or unicodedata.category(c) not in ("Cc", "Cf", "Co", "Cs"))
