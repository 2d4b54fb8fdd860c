"""V-belt sections and their three ways of counting length: inside, datum (pitch) and outside.

A number on a belt means nothing without its system: B68 is 68 inches inside, 5V800 is 80.0 inches outside, SPB 1250 is
1250 mm at the datum line, 17x1725 Li is 1725 mm inside. Everything here is SI; sections.csv, offsets.csv and
tolerances.csv have the numbers and their sources.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from partsdb.errors import BadInput
from partsdb.source import Source
from partsdb.tables import load
from partsdb.units import to_si

CAPACITIES = ("light duty", "classical", "cogged or wedge", "cogged wedge")  # power of one belt, least first
MARK = {
    "inside inch": 0.0254,
    "outside inch": 0.00254,
    "datum mm": 1e-3,
    "inside mm": 1e-3,
}  # [m] a unit of number
ROOM = 1e-3  # a belt this much deeper still clears the bottom of a groove [m]; judgement


@dataclass(frozen=True, slots=True)
class Section:
    """A section: groove, sections whose pulleys it fits once measured, power class; top width, height and least
    pulley [m], top speed [m/s]."""

    code: str
    title: str
    groove: str
    also: tuple[str, ...]
    capacity: str
    top_width: float
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


@cache
def sections() -> Mapping[str, Section]:
    """Every section by its code."""
    table = load("sections", __package__)
    return {row["code"]: _section(row, table.source_of(row)) for row in table.rows}


def _section(row: Mapping[str, str], source: Source) -> Section:
    also = tuple(filter(None, row["also"].split("|")))
    top, height, least = (to_si(float(row[key]), "mm") for key in ("top_mm", "height_mm", "least_pulley_mm"))
    speed = float(row["top_speed"])
    return Section(
        row["code"], row["title"], row["groove"], also, row["capacity"], top, height, least, speed, source
    )


@cache
def systems(section: str | None) -> tuple[str, ...]:
    """The length systems in which a section is marked, the usual one first; none for an unknown section."""
    rows = load("offsets", __package__).rows
    return tuple(dict.fromkeys(row["system"] for row in rows if row["section"] == section))


def lengths(section: str, system: str, nominal: float) -> Lengths:
    """Datum and outside length [m] of a belt of that nominal length [m].

    >>> b68 = lengths("B", "inside inch", 68 * 0.0254)
    >>> round(b68.datum / 0.0254, 1), round(b68.outside / 0.0254, 1)
    (69.8, 71.0)

    Raises BadInput when the section isn't marked in that system.
    """
    table = load("offsets", __package__)
    own = [row for row in table.rows if (row["section"], row["system"]) == (section, system)]
    long_enough = [row for row in own if to_si(float(row["from"]), row["unit"]) <= nominal * (1 + 1e-9)]
    if not long_enough:
        raise BadInput(f"section {section} isn't marked in {system}")
    row = long_enough[-1]
    datum, outside = (nominal + to_si(float(row[key]), row["unit"]) for key in ("datum", "outside"))
    cited = [table.source_of({"status": row[key]}) for key in ("status", "outside_status")]
    return Lengths(datum, outside, *(replace(source, citation=row["cites"]) for source in cited))


def tolerance(length: float) -> tuple[float, float]:
    """(permissible deviation, most difference within a set) [m] of a belt of that length [m].

    Listed for classical inch belts; for other sections it is taken over, being the stricter of two (DIN 7753 and
    DIN 2215 allow 1 % of the length).

    >>> [round(x / 0.0254, 2) for x in tolerance(68 * 0.0254)]
    [0.7, 0.3]
    """
    rows = load("tolerances", __package__).rows
    inches = length / 0.0254 * (1 + 1e-9)
    row = [r for r in rows if float(r["number"]) <= inches or r is rows[0]][-1]
    return to_si(float(row["deviation"]), "in"), to_si(float(row["matching"]), "in")


def fits_pulleys_of(section: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """(sections that run in this one's pulleys, sections that may once groove angle and depth are measured).

    A wedge belt is deeper than the classical belt of the same groove, so it may touch the bottom of an old pulley;
    the other way round there is room. Raises KeyError for an unknown section.

    >>> fits_pulleys_of("B")
    (('B', 'BX', '5L'), ('SPB', 'XPB'))
    >>> fits_pulleys_of("SPB")
    (('B', 'BX', '5L', 'SPB', 'XPB'), ('5V', '5VX'))
    """
    own, everyone = sections()[section], sections().values()
    shallow = [s for s in everyone if s.height <= own.height + ROOM]
    safe = tuple(s.code for s in everyone if s.groove == own.groove and s in shallow)
    deep = (s.code for s in everyone if (s.groove == own.groove or s.code in own.also) and s.code not in safe)
    return safe, tuple(deep)
