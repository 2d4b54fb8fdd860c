"""From the mark on a V-belt to its lengths, cross-section and trade name."""

from __future__ import annotations

import re
from collections.abc import Iterator

from partsdb.families.v_belt.sections import MARK, lengths, sections, systems
from partsdb.model import Spec, Value, number, word
from partsdb.quantities import from_si
from partsdb.source import Source

ONE_LISTED = Source("one belt a piece unless the list or plate says a set", "stated")
METRIC_SECTIONS = {10: "Z", 13: "A", 17: "B", 22: "C", 32: "D"}  # by top width [mm]
LONGEST = 50.0  # [m]; no belt is longer
_METRIC = re.compile(r"(\d{2})\s*[X×*]\s*(\d{3,5})(?:\s*LI)?")
_NUMBER = re.compile(r"\d{1,5}(?:\.\d+)?")
_METRIC_NAME = Source("the belt's metric name: width by inside length", "stated")
_TAPED = Source("outside length, less what the back of the section stands above the datum line", "derived")
_MEMORY = Source("belt guides, not seen in print", "from memory")


def system_of(spec: Spec) -> str | None:
    """The length system of the spec's `length`; a classical length that is no whole inch is inside mm."""
    known, length = systems(spec.code("section")), spec.num("length")
    if len(known) < 2 or length is None:
        return known[0] if known else None
    inches = length / MARK["inside inch"]
    return "inside inch" if spec.has("mark") or abs(inches - round(inches)) < 0.02 else "inside mm"


def derive(spec: Spec) -> tuple[Value, ...]:
    """Datum and outside length, cross-section, power class; one belt a piece, matched when sold as a set."""
    named = tuple(_from_metric_name(spec))
    full = spec.plus(named)
    return (*named, *_derived_length(full), *_derived_section(full), *_derived_set(spec))


def _from_metric_name(spec: Spec) -> Iterator[Value]:
    """Section and inside length from a metric name, where nothing else says them: 17X1725 is B, 1725 mm."""
    name = _METRIC.fullmatch((spec.code("metric_mark") or "").upper())
    section = METRIC_SECTIONS.get(int(name[1])) if name else None
    if name is None or section is None or spec.has("mark"):
        return
    if not spec.has("section"):
        yield word("section", section, _METRIC_NAME)
    if not spec.has("length"):
        yield number("length", float(name[2]) / 1000, _METRIC_NAME)


def _derived_length(spec: Spec) -> Iterator[Value]:
    section, system = spec.code("section"), system_of(spec)
    mark, length, outside = number_of(spec), spec.num("length"), spec.num("outside_length")
    if section is None or system is None:
        return
    if length is None and mark is not None:
        length = mark * MARK[system]
        yield number("length", length, Source("the number on the belt in its section's unit", "verified"))
    if length is not None and 0 < length < LONGEST:
        found = lengths(section, system, length)
        yield number("datum_length", found.datum, found.datum_source)
        yield number("outside_length", found.outside, found.outside_source)
    elif length is None and outside is not None and 0 < outside < LONGEST:
        same_section = lengths(section, system, outside)  # its two lines run as far apart whatever the length
        yield number("datum_length", outside - (same_section.outside - same_section.datum), _TAPED)


def _derived_section(spec: Spec) -> Iterator[Value]:
    section = sections().get(spec.code("section") or "")
    if section is None:
        return
    yield number("top_width", section.top_width, section.source)
    yield number("height", section.height, section.source)
    yield word("capacity", section.capacity, Source("belt section", "verified"))
    yield number("least_pulley", section.least_pulley, _MEMORY)
    yield number("top_speed", section.top_speed, _MEMORY)


def _derived_set(spec: Spec) -> Iterator[Value]:
    count = spec.num("count")
    if count is None:
        yield number("count", 1.0, ONE_LISTED)
    yield word("matching", "single" if count is None or count < 2 else "one set", ONE_LISTED)


def number_of(spec: Spec) -> float | None:
    """The number on the belt; None when there is none or it is no plain number."""
    text = spec.code("mark")
    return float(text) if text is not None and _NUMBER.fullmatch(text) else None


def title_of(spec: Spec) -> str:
    """A short trade name: "B68 V-belt", "17x1725 Li V-belt", "3 × SPB 1250 V-belts"."""
    section, length, system = spec.code("section"), spec.num("length"), system_of(spec)
    mark = number_of(spec)
    if mark is None and system not in (None, "inside mm") and length is not None:
        mark = round(length / MARK[system or ""], 3)
    name = section or "?"
    if mark is not None:
        name = f"{name}{' ' if system == 'datum mm' else ''}{mark:g}"
    elif length is not None:
        widths = {code: f"{width}x" for width, code in METRIC_SECTIONS.items()}
        name = f"{widths.get(name, f'{name} ')}{from_si(length, 'mm'):.0f} Li"
    count = spec.num("count")
    return f"{count:.0f} × {name} V-belts" if count is not None and count > 1 else f"{name} V-belt"
