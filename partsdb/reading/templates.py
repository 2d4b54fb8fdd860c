"""The template grammar of `family.Writing`, expanded into texts.

    sequence  = { literal | "{" variable "}" | "(" sequence { "|" sequence } ")" | "[" sequence "]" }
    variable  = attribute [ "#" variant ] [ "@" qualifier ] [ ":" unit [ "." decimals | "/" ] ]

A writing is split into prefixes, cores and suffixes: a core runs from the first variable to the last one and
depends on the row; prefixes and suffixes don't, so the decoder scores them once for all rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

from partsdb.family import Writing

MOST_TEXTS = 3000  # spellings of one part of a template


@dataclass(frozen=True, slots=True)
class Variable:
    """`{attribute:unit}`; unit None writes the code word. `{attribute:unit.3}`: always three decimals;
    `{attribute:unit/}`: always a fraction, where it has one."""

    attribute: str
    unit: str | None
    decimals: int | None = None
    fraction: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """`(A|B)` or `[A]`: one of these sequences."""

    ways: tuple[tuple[Part, ...], ...]


Part = str | Variable | Choice
Flat = tuple[str | Variable, ...]


@dataclass(frozen=True, slots=True)
class Shape:
    """A writing, split. Every entry is (text or flat sequence, log prior [nat])."""

    prefixes: tuple[tuple[str, float], ...]
    cores: tuple[tuple[Flat, float], ...]
    suffixes: tuple[tuple[str, float], ...]


def parse(template: str) -> tuple[Part, ...]:
    """The template as a sequence. Raises ValueError naming the fault (a fault of the family, not the user)."""
    parts, at = _sequence(template, 0, "")
    if at != len(template):
        raise ValueError(f"template {template!r}: unexpected {template[at]!r} at {at}")
    return parts


def _variable(text: str) -> Variable:
    name, colon, shown = text.partition(":")
    unit, dot, decimals = shown.removesuffix("/").partition(".")
    return Variable(name, unit if colon else None, int(decimals) if dot else None, shown.endswith("/"))


def _sequence(text: str, at: int, closers: str) -> tuple[tuple[Part, ...], int]:
    """sequence = { literal | variable | choice }, up to one of the closers."""
    parts: list[Part] = []
    while at < len(text) and text[at] not in closers:
        char = text[at]
        if char == "{":
            end = _find(text, "}", at)
            parts.append(_variable(text[at + 1 : end]))
            at = end + 1
        elif char in "([":
            ways, at = _ways(text, at)
            parts.append(Choice(ways))
        elif char in ")]}":
            raise ValueError(f"template {text!r}: unexpected {char!r} at {at}")
        else:
            parts.append(char)
            at += 1
    return tuple(parts), at


def _ways(text: str, at: int) -> tuple[tuple[tuple[Part, ...], ...], int]:
    """choice = "(" sequence { "|" sequence } ")" | "[" sequence { "|" sequence } "]"; brackets add "nothing"."""
    closer = ")" if text[at] == "(" else "]"
    ways: list[tuple[Part, ...]] = [()] if closer == "]" else []
    _find(text, closer, at)
    while True:
        way, at = _sequence(text, at + 1, closer + "|")
        ways.append(way)
        if at >= len(text):
            raise ValueError(f"template {text!r}: {closer!r} is missing")
        if text[at] == closer:
            return tuple(ways), at + 1


def _find(text: str, closer: str, at: int) -> int:
    end = text.find(closer, at)
    if end < 0:
        raise ValueError(f"template {text!r}: {closer!r} is missing after {at}")
    return end


def _varies(part: Part) -> bool:
    if isinstance(part, Choice):
        return any(_varies(p) for way in part.ways for p in way)
    return isinstance(part, Variable)


def _expand(parts: tuple[Part, ...]) -> list[tuple[Flat, float]]:
    """Every flat sequence; the ways of a choice share its prior evenly."""
    done: list[tuple[Flat, float]] = [((), 0.0)]
    for part in parts:
        if isinstance(part, Choice):
            share = -log(len(part.ways))
            ways = [(flat, p + share) for way in part.ways for flat, p in _expand(way)]
            done = [(a + b, p + q) for a, p in done for b, q in ways][:MOST_TEXTS]
        else:
            done = [((*a, part), p) for a, p in done]
    return done


def _texts(parts: tuple[Part, ...]) -> tuple[tuple[str, float], ...]:
    best: dict[str, float] = {}
    for flat, p in _expand(parts):
        text = "".join(part for part in flat if isinstance(part, str))
        best[text] = max(p, best.get(text, p))
    return tuple(best.items())


def _trimmed(flat: Flat) -> Flat:
    """Neighbouring literals joined."""
    joined: list[str | Variable] = []
    for part in flat:
        if isinstance(part, str) and joined and isinstance(joined[-1], str):
            joined[-1] += part
        else:
            joined.append(part)
    return tuple(joined)


def shape(writing: Writing) -> Shape:
    """The writing split into prefixes, cores and suffixes.

    >>> shape(Writing("[C ]{c:µF} (MFD|UF)")).suffixes[0][0]
    ' MFD'
    """
    parts = parse(writing.template)
    places = [k for k, part in enumerate(parts) if _varies(part)]
    first, last = (places[0], places[-1] + 1) if places else (0, len(parts))
    cores = tuple((_trimmed(flat), p + writing.logp) for flat, p in _expand(parts[first:last]))
    return Shape(_texts(parts[:first]), cores, _texts(parts[last:]))


def first_text(writing: Writing, written: dict[str, str]) -> str:
    """The writing in its first spelling, given each variable's text (what a plate of this kind says)."""
    flat = _expand(parse(writing.template))[0][0]
    return "".join(part if isinstance(part, str) else written[part.attribute] for part in flat)
