"""What each field can be, for the search: read at a place, absent, meant by default, or measured only."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from partsdb.family import Family, Field, Row
from partsdb.model import Context, Measured
from partsdb.reading.channel import Plate
from partsdb.reading.instruments import contradicts, row_odds
from partsdb.reading.scoring import Places

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
UNKNOWN, DEFAULT = -1, -2  # row numbers of "absent, not known" and "absent, so the usual one"
_UNSEEN = 0.06, 0.3  # a field of the plate that nobody typed: share, and share of what is illegible [-]
_SCRAP, _PLATEFUL = 0.55, 8.0  # a few legible glyphs are a scrap: most of the plate is lost [-], [glyphs]
_USUAL = 0.95, 0.3  # P(nothing said means the usual) on a clean plate, and its fall when all is illegible
_WRONG_YEAR = -0.15  # per year outside a row's years, at most _WORST_YEAR [nat]
_WORST_YEAR = -3.0
_OTHER_SUPPLY = -1.2  # a frequency other than the supply's
_MOST_MEASURED = 25  # rows of an absent field that a measurement names
_OFF_SCALE = -3.0  # a measured attribute that no row explains


@dataclass(frozen=True, slots=True, eq=False)
class Options:
    """One field's options, best first: row (or UNKNOWN, DEFAULT), place, log score, mask of its glyphs.

    gain: log odds of the text alone. rows: the field's rows and the off-grid ones. p_absent: see `absence`.
    """

    field: Field
    rows: tuple[Row, ...]
    row: Ints
    start: Ints
    end: Ints
    score: Floats
    gain: Floats
    mask: NDArray[np.uint64]
    p_absent: float

    def contents(self, k: int) -> tuple[object, ...] | None:
        """What option k says for each attribute of the field; None when it is unknown."""
        row = int(self.row[k])
        return self.rows[row].values if row >= 0 else self.field.default if row == DEFAULT else None

    def values(self, attribute: str) -> list[object]:
        """Per option the value of an attribute, None when unknown."""
        k = self.field.attributes.index(attribute)
        default = self.field.default
        usual = default[k] if default else None
        return [self.rows[r].values[k] if r >= 0 else usual if r == DEFAULT else None for r in self.row]


def _year_factor(row: Row, year: int) -> float:
    if row.years is None:
        return 0.0
    off = max(row.years[0] - year, year - row.years[1], 0)
    return max(_WRONG_YEAR * off, _WORST_YEAR)


def _supply_factor(family: Family, field: Field, row: Row, context: Context) -> float:
    hertz = context.supply_frequency
    for name, value in zip(field.attributes, row.values, strict=True):
        if hertz is None or value is None or family.attribute(name).unit != "Hz":
            continue
        low, high = value if isinstance(value, tuple) else (value, value)
        if isinstance(low, float | int) and isinstance(high, float | int):
            return 0.0 if low - 1 <= hertz <= high + 1 else _OTHER_SUPPLY
    return 0.0


def row_priors(family: Family, field: Field, context: Context) -> Floats:
    """Log prior of each row [nat]: its weight, softened by the machine's year and supply; sums to one."""
    weights = np.array([max(row.weight, 1e-9) for row in field.rows])
    prior = np.asarray(np.log(weights))
    if context.year is not None:
        prior = prior + np.array([_year_factor(row, context.year) for row in field.rows])
    if context.supply_frequency is not None:
        prior = prior + np.array([_supply_factor(family, field, row, context) for row in field.rows])
    return np.asarray(prior - np.logaddexp.reduce(prior)) if len(prior) else prior


def lost(plate: Plate) -> float:
    """P(a mark that belongs to what was typed, as a suffix does to its number, is not among it) [-]."""
    return _UNSEEN[0] + _UNSEEN[1] * (1 - plate.legible) if len(plate) else 0.999


def _never_typed(plate: Plate) -> float:
    """P(what a plate says is not among what was typed): more for a scrap of a few glyphs [-]."""
    return lost(plate) + (_SCRAP * exp(-plate.legible * len(plate) / _PLATEFUL) if len(plate) else 0.0)


def absence(field: Field, plate: Plate) -> float:
    """P(the field is not among what was typed): left off the plate, or burnt off it [-]."""
    unseen = lost(plate) if field.default else _never_typed(plate)
    return min(max(field.p_absent + (1 - field.p_absent) * unseen, 1e-3), 0.999)


def usual_belief(plate: Plate) -> float:
    """P(a field of which nothing can be read is the usual one): high on a clean plate, lower on a worn one [-]."""
    return _USUAL[0] - _USUAL[1] * (1 - plate.legible)


def _masks(start: Ints, end: Ints, plate: Plate) -> NDArray[np.uint64]:
    """One bit per glyph; a run is shared, because two texts may be lost in it."""
    words = len(plate) // 64 + 1
    bits = np.zeros((len(start), words * 64), dtype=np.uint8)
    place = np.arange(words * 64)
    bits[(place >= start[:, None]) & (place < end[:, None])] = 1
    runs = [i for i, glyph in enumerate(plate.glyphs) if glyph.run]
    bits[:, runs] = 0
    return np.packbits(bits, axis=1, bitorder="little").view(np.uint64)


def _absent(
    field: Field, plate: Plate, prior: Floats, odds: Floats | None, p_absent: float
) -> list[tuple[int, float]]:
    """(row or UNKNOWN or DEFAULT, log score) of the ways in which nothing on the plate says the field."""
    if odds is None:
        return [(DEFAULT if field.default and len(plate) else UNKNOWN, log(p_absent))]
    ranked = prior + odds[: len(prior)]
    named = np.argsort(-ranked)[:_MOST_MEASURED]
    near = [r for r in named if ranked[r] > ranked[named[0]] - 8 and not contradicts(float(odds[r]))]
    ways = [(int(r), log(p_absent) + float(ranked[r])) for r in near]
    return [*ways, (UNKNOWN, log(p_absent) + _OFF_SCALE)]


def options_of(
    family: Family, places: Places, plate: Plate, prior: Floats, measurements: tuple[Measured, ...]
) -> Options:
    """The options of one field, scored with priors, omission and measurements."""
    field, rows = places.slot.field, (*places.slot.field.rows, *places.extra)
    p_absent = absence(field, plate)
    odds = row_odds(family, field, rows, measurements)
    bias = np.concatenate([prior, np.full(len(places.extra), field.off_grid)])
    shown = bias + (odds if odds is not None else 0.0)
    score = places.gain + shown[places.row] + log(1 - p_absent)
    absent = _absent(field, plate, prior, odds, p_absent)
    row = np.concatenate([places.row, np.array([r for r, _ in absent], dtype=np.intp)])
    nowhere = np.zeros(len(absent), dtype=np.intp)
    start, end = np.concatenate([places.start, nowhere]), np.concatenate([places.end, nowhere])
    score = np.concatenate([score, np.array([s for _, s in absent])])
    gain = np.concatenate([places.gain, np.zeros(len(absent))])
    order = np.argsort(-score, kind="stable")
    keep = order[score[order] > score[order[0]] - 25]
    lost = [k for k in order if row[k] < 0 and k not in keep]
    keep = np.concatenate([keep, np.array(lost, dtype=np.intp)])
    mask = _masks(start[keep], end[keep], plate)
    return Options(field, rows, row[keep], start[keep], end[keep], score[keep], gain[keep], mask, p_absent)
