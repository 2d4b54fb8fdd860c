"""V-belt sections and their three ways of counting length: inside, datum (pitch) and outside.

A number on a belt means nothing without its system: B68 is 68 inches inside, 5V800 is 80.0 inches outside,
SPB 1250 is 1250 mm at the datum line, 17x1725 Li is 1725 mm inside. Everything here is SI; the numbers are in
tables/belt_*.csv with their sources.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache

from partsdb.errors import BadInput
from partsdb.ladders import series
from partsdb.source import Source
from partsdb.tables import load
from partsdb.units import to_si

CAPACITIES = ("light duty", "classical", "cogged or wedge", "cogged wedge")  # power of one belt, least first
MARK = {
    "inside inch": 0.0254,
    "outside inch": 0.00254,
    "datum mm": 1e-3,
    "inside mm": 1e-3,
}  # [m] per unit of number
_WIDTHS = {"Z": 10, "A": 13, "B": 17, "C": 22, "D": 32}  # in metric names [mm]
_LIGHT = {"A": ("4L", 2), "B": ("5L", 3)}  # light-duty name, inches from inside to outside
_ROOM = 1e-3  # a belt this much deeper still clears the bottom of a groove [m]; judgement


@dataclass(frozen=True, slots=True)
class Section:
    """A section: top width, height, least pulley [m], top speed [m/s], groove, power class;
    also: sections whose pulleys it fits once they have been measured."""

    code: str
    title: str
    groove: str
    also: tuple[str, ...]
    capacity: str
    top: float
    height: float
    least_pulley: float
    top_speed: float
    source: Source


@dataclass(frozen=True, slots=True)
class Lengths:
    """A belt's datum and outside length [m], and where the offset of each comes from."""

    datum: float
    outside: float
    datum_source: Source
    outside_source: Source


@dataclass(frozen=True, slots=True)
class Made:
    """A belt that is made: the number on it, its nominal length [m] in its own system, weight [-]."""

    section: str
    system: str
    mark: float
    length: float
    weight: float


@cache
def sections() -> Mapping[str, Section]:
    """Every section by its code."""
    table = load("belt_sections")
    return {
        row["section"]: Section(
            row["section"],
            row["title"],
            row["groove"],
            tuple(filter(None, row["also"].split("|"))),
            row["capacity"],
            to_si(float(row["top_mm"]), "mm"),
            to_si(float(row["height_mm"]), "mm"),
            to_si(float(row["least_pulley_mm"]), "mm"),
            float(row["top_speed"]),
            table.source_of(row),
        )
        for row in table.rows
    }


@cache
def systems() -> Mapping[str, tuple[str, ...]]:
    """The length systems in which a section is marked, the usual one first."""
    found: dict[str, tuple[str, ...]] = {}
    for row in load("belt_offsets").rows:
        known = found.get(row["section"], ())
        if row["system"] not in known:
            found[row["section"]] = (*known, row["system"])
    return found


def lengths(section: str, system: str, nominal: float) -> Lengths:
    """Datum and outside length [m] of a belt of that nominal length [m].

    >>> b68 = lengths("B", "inside inch", 68 * 0.0254)
    >>> round(b68.datum / 0.0254, 1), round(b68.outside / 0.0254, 1)
    (69.8, 71.0)

    Raises BadInput when the section isn't marked in that system.
    """
    table = load("belt_offsets")
    fitting = [
        row
        for row in table.rows
        if row["section"] == section
        and row["system"] == system
        and to_si(float(row["from"]), row["unit"]) <= nominal * (1 + 1e-9)
    ]
    if not fitting:
        raise BadInput(f"section {section} isn't marked in {system}")
    row = fitting[-1]
    datum, outside = (to_si(float(row[key]), row["unit"]) for key in ("datum", "outside"))
    by_datum, by_outside = (table.source_of({"status": row[key]}) for key in ("status", "outside_status"))
    return Lengths(
        nominal + datum,
        nominal + outside,
        replace(by_datum, citation=row["cites"]),
        replace(by_outside, citation=row["cites"]),
    )


def tolerance(length: float) -> tuple[float, float]:
    """(permissible deviation, most difference within a set) [m] of a belt of that length [m].

    Listed for classical inch belts; for other sections it is taken over, being the stricter of two (DIN 7753 and
    DIN 2215 allow 1 % of the length).

    >>> [round(x / 0.0254, 2) for x in tolerance(68 * 0.0254)]
    [0.7, 0.3]
    """
    rows = load("belt_tolerances").rows
    inches = length / 0.0254 * (1 + 1e-9)
    row = [r for r in rows if float(r["number"]) <= inches or r is rows[0]][-1]
    return to_si(float(row["deviation"]), "in"), to_si(float(row["matching"]), "in")


@cache
def made() -> tuple[Made, ...]:
    """Every belt that is made, heaviest weight winning where lists overlap."""
    best: dict[tuple[str, str, float], float] = {}
    for row in load("belt_lengths_made").rows:
        for mark in _marks(row):
            for section in row["sections"].split("|"):
                key = (section, row["system"], mark)
                best[key] = max(best.get(key, 0.0), float(row["weight"]))
    return tuple(
        Made(section, system, mark, round(mark * MARK[system], 9), weight)
        for (section, system, mark), weight in best.items()
    )


def second_marks(belt: Made) -> tuple[str | None, str | None, str | None]:
    """(metric name, outside length in millimetres, second name) that such belts also carry, None where they don't.

    Classical belts may carry their metric name (B68: 17x1727 Li), A and B that of the light-duty belt of the
    same size (A44: 4L460); millimetre and narrow belts their outside length.

    >>> second_marks(Made("B", "inside inch", 68, 68 * 0.0254, 1.0))
    ('17X1727', None, '5L710')
    """
    width, other = _WIDTHS.get(belt.section), _LIGHT.get(belt.section)
    metric = f"{width}X{belt.length * 1000:.0f}" if width else None
    if belt.system == "inside inch":
        return metric, None, f"{other[0]}{(belt.mark + other[1]) * 10:.0f}" if other else None
    return metric, f"{lengths(belt.section, belt.system, belt.length).outside * 1000:.0f}", None


def _marks(row: Mapping[str, str]) -> Iterator[float]:
    """The numbers of one row: a list, a series of preferred numbers, or first to last by step."""
    if not row["first"]:
        yield from map(float, row["step"].split("|"))
        return
    first, last = float(row["first"]), float(row["last"])
    if row["step"].startswith("R"):
        yield from (float(round(n)) for n in series(row["step"], first, last))
        return
    step = float(row["step"])
    yield from (first + step * k for k in range(int((last - first) / step + 1e-9) + 1))


def fits_pulleys_of(section: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(sections that run in this one's pulleys, sections that may once groove angle and depth are measured).

    A wedge belt is deeper than the classical belt of the same groove, so it may touch the bottom of an old pulley;
    the other way round there is room.

    >>> fits_pulleys_of("B")
    (('B', 'BX', '5L'), ('SPB', 'XPB'))
    >>> fits_pulleys_of("SPB")
    (('B', 'BX', '5L', 'SPB', 'XPB'), ('5V', '5VX'))

    Raises BadInput for an unknown section.
    """
    own = section_of(section)
    safe: list[str] = []
    measured: list[str] = []
    for other in sections().values():
        if other.groove == own.groove:
            (safe if other.height <= own.height + _ROOM else measured).append(other.code)
        elif other.code in own.also:
            measured.append(other.code)
    return tuple(safe), tuple(measured)


def section_of(code: str) -> Section:
    """The section of that code. Raises BadInput with the known ones."""
    try:
        return sections()[code]
    except KeyError:
        raise BadInput(f"{code!r} is no V-belt section", f"There are: {' '.join(sections())}") from None
