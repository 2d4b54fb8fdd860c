"""What the person types, as glyphs: the fragment grammar and the folding of lookalikes.

    ?          one illegible glyph
    ... or …   a run of illegible glyphs, length unknown (three dots or more)
    [38]       one glyph, which is one of these
    anything else stands for itself; case, accents and width of letters don't matter

Blanks are not glyphs: they only separate (see `channel.Plate`).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence

from partsdb.errors import BadInput, BadText
from partsdb.model import Context, Fragment, Glyph, Measured, Reading

# Letters of other scripts and typographic signs that look like (or stand for) a plain glyph. Micro and a
# typed u are one symbol on plates; a decimal comma is a decimal point.
_LOOKALIKES = str.maketrans(
    "АВЕЅЗІЈКМНОРСТУХΑΒΕΖΗΙΚΜΝΟΡΤΥΧ‐‑‒–—―−⁃∼～×✕′‘’“”″⁄∕·•,Φφø⌀∅ΩΜ",
    "ABES3IJKMHOPCTYXABEZHIKMNOPTYX--------~~XX'''\"\"\"//...ØØØØØΩM",
)
_MICRO = {"µ": "U", "μ": "U"}
FRACTIONS = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}


def fold(char: str) -> str:
    """The plain glyphs one typed character stands for: upper case, no accent; "" for a blank or nothing.

    >>> fold("µ"), fold("é"), fold("Ｏ"), fold("½"), fold("٣")
    ('U', 'E', 'O', '1/2', '3')
    """
    if char in _MICRO:
        return _MICRO[char]
    if char in FRACTIONS:
        return FRACTIONS[char]
    if "0" <= char <= "9" or "A" <= char <= "Z":
        return char
    if char.isspace() or unicodedata.category(char)[0] == "C":
        return ""
    if char.isdecimal():
        return str(unicodedata.decimal(char))
    plain = unicodedata.normalize("NFKD", char).upper().translate(_LOOKALIKES)
    kept = "".join(c for c in plain if not unicodedata.combining(c) and not c.isspace())
    return kept or ("" if unicodedata.combining(char) else char)


def fold_text(text: str) -> str:
    """A whole text folded, single blanks kept between its words.

    >>> fold_text("25 µf  é")
    '25 UF E'
    """
    return " ".join("".join(fold(c) for c in word) for word in text.split())


def _run_end(text: str, at: int) -> int:
    """The end of an illegible run that starts at `at`; `at` itself when none does."""
    end = at
    while end < len(text) and text[end] in ".…":
        end += 1
    dots = text[at:end]
    return end if "…" in dots or len(dots) >= 3 else at


def _bracket(text: str, at: int) -> tuple[str, int]:
    """(glyphs, end) of the `[38]` that starts at `at`. Raises BadText at the fault."""
    end = text.find("]", at)
    inner = text[at + 1 : end] if end >= 0 else text[at + 1 :]
    if end < 0:
        raise BadText(
            "this bracket is never closed", text, at, at + 1, "Write [38] for a glyph that is 3 or 8"
        )
    if "[" in inner:
        bad = at + 1 + inner.index("[")
        raise BadText("a bracket inside a bracket", text, bad, bad + 1, "Write [38] for one glyph")
    chars = ""
    for k, char in enumerate(inner):
        plain = fold(char)
        if len(plain) != 1 or char in "?…":
            place = at + 1 + k
            raise BadText(
                "only plain glyphs can stand in brackets",
                text,
                place,
                place + 1,
                "Write ? alone if it can't be read",
            )
        chars += plain if plain not in chars else ""
    if not chars:
        raise BadText("empty brackets", text, at, end + 1, "Write ? for one illegible glyph")
    return chars, end + 1


def read_fragment(text: str) -> Fragment:
    """One typed fragment as glyphs. Raises BadText with the place of a bad bracket."""
    glyphs: list[Glyph] = []
    at = 0
    while at < len(text):
        end = _run_end(text, at)
        if end > at:
            glyphs.append(Glyph("", at, run=True))
        elif text[at] == "?":
            glyphs.append(Glyph("", at))
            end = at + 1
        elif text[at] == "[":
            chars, end = _bracket(text, at)
            glyphs.append(Glyph(chars, at))
        elif text[at] == "]":
            raise BadText(
                "this bracket was never opened", text, at, at + 1, "Write [38] for a glyph that is 3 or 8"
            )
        else:
            glyphs.extend(Glyph(c, at) for c in fold(text[at]))
            end = at + 1
        at = end
    return Fragment(text, tuple(glyphs))


def read(
    fragments: Sequence[str], measurements: Sequence[Measured] = (), context: Context = Context()
) -> Reading:
    """Everything seen and measured on one part.

    Raises BadText for a fragment that breaks the grammar, BadInput when nothing was seen or measured.
    """
    seen = tuple(f for f in (read_fragment(text) for text in fragments) if f.glyphs)
    if not seen and not measurements:
        raise BadInput("nothing was read or measured", "Type what you can read, or one measurement")
    return Reading(seen, tuple(measurements), context)
