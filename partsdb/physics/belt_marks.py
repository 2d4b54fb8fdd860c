"""From the mark on a V-belt to its lengths, cross-section and trade name."""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.model import Spec, Value, number, word
from partsdb.quantities import from_si
from partsdb.source import Source

from .belt_sections import MARK, lengths, sections, systems

ONE_LISTED = Source("one belt a piece unless the list or plate says a set", "stated")
KIND_WORDS = {"V-belt": ("V-BELT", "V BELT", "VEE BELT", "VEE-BELT", "WEDGE BELT", "KEILRIEMEN", "BELT")}
FINISHES = {"oil and heat": "oil and heat resistant", "antistatic": "antistatic"}
FINISH_WORDS = {
    "oil and heat": (
        "OIL & HEAT RESISTANT",
        "HEAT & OIL RESISTANT",
        "OIL RESISTANT",
        "OIL AND HEAT RESISTANT",
    ),
    "antistatic": ("ANTISTATIC", "STATIC CONDUCTING", "STATIC DISSIPATING", "ISO 1813", "CONDUCTIVE"),
}
MEMORY = Source("belt guides, not seen in print", "from memory")


def system_of(spec: Spec) -> str | None:
    """The length system of the spec's `length`; a classical length that is no whole inch is inside mm."""
    known = systems().get(spec.code("section") or "", ())
    length = spec.num("length")
    if len(known) < 2 or length is None:
        return known[0] if known else None
    inches = length / MARK["inside inch"]
    return "inside inch" if spec.has("mark") or abs(inches - round(inches)) < 0.02 else "inside mm"


def derive(spec: Spec) -> tuple[Value, ...]:
    """Datum and outside length, cross-section, power class; one belt a piece, matched when sold as a set."""
    return (*_derived_length(spec), *_derived_section(spec), *_derived_set(spec))


def _derived_length(spec: Spec) -> Iterator[Value]:
    section, system = spec.code("section"), system_of(spec)
    mark, length = spec.num("mark"), spec.num("length")
    if section is None or system is None:
        return
    if length is None and mark is not None:
        length = mark * MARK[system]
        yield number("length", length, Source("the number on the belt in its section's unit", "verified"))
    if length is not None:
        found = lengths(section, system, length)
        yield number("datum_length", found.datum, found.datum_source)
        yield number("outside_length", found.outside, found.outside_source)


def _derived_section(spec: Spec) -> Iterator[Value]:
    section = sections().get(spec.code("section") or "")
    if section is None:
        return
    yield number("top_width", section.top, section.source)
    yield number("height", section.height, section.source)
    yield word("capacity", section.capacity, Source("belt section", "verified"))
    yield number("least_pulley", section.least_pulley, MEMORY)
    yield number("top_speed", section.top_speed, MEMORY)


def _derived_set(spec: Spec) -> Iterator[Value]:
    count = spec.num("count")
    if count is None:
        yield number("count", 1.0, ONE_LISTED)
    yield word("matching", "single" if count is None or count < 2 else "one set", ONE_LISTED)


def title_of(spec: Spec) -> str:
    """A short trade name: "B68 V-belt", "17x1725 Li V-belt", "3 × SPB 1250 V-belts"."""
    section, mark, length, width = (
        spec.code("section"),
        spec.num("mark"),
        spec.num("length"),
        spec.num("width_mark"),
    )
    system = system_of(spec)
    if mark is None and width is None and system is not None and length is not None and system != "inside mm":
        mark = round(length / MARK[system], 3)
    name = section or "?"
    if mark is not None:
        name = f"{name}{' ' if system == 'datum mm' else ''}{mark:g}"
    elif length is not None:
        ahead = f"{name} " if width is None else f"{from_si(width, 'mm'):g}x"
        name = f"{ahead}{from_si(length, 'mm'):.0f} Li"
    count = spec.num("count")
    return f"{count:.0f} × {name} V-belts" if count is not None and count > 1 else f"{name} V-belt"
