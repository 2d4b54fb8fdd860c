"""What plates and people write, as SI numbers.

Units are in units.py (their names are re-exported here), numbers in numerals.py, the cutting up of a text in
marks.py. `parse` reads

    text      := chain+                                  440 VAC 60 CY; or labels first: VOLTS 440 CYCLES 60
    chain     := item (("/" | "x" | "," | "or") item)*   220/440 V: several quantities
               | item ("-" | "..." | "to") item          88-108 MFD: one quantity with two ends
    item      := number unit? kind? tolerance?           an item without a unit takes its neighbour's
    kind      := AC | DC | ~ | = | AC/DC
    tolerance := ±10% | +/-10 | ±0.5 µF | -0 +20%
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from partsdb.errors import BadInput, BadText
from partsdb.marks import Token, tokens
from partsdb.numerals import Numeral, parse_number
from partsdb.units import Unit, from_si, show, spoken, to_si, unit, units

__all__ = ["Quantity", "Unit", "from_si", "parse", "parse_number", "show", "spoken", "to_si", "unit", "units"]

Current = Literal["", "AC", "DC"]
_KINDS: Mapping[str, Current] = {"": "", "AC": "AC", "DC": "DC"}
LONGEST = 300  # characters; a plate's line is shorter, and reading stays quick
_WHOLE_ONLY = frozenset(
    ("voltage", "frequency", "rotational speed", "temperature", "reactive power", "phases")
)
_DUAL_RATIOS = (2.0, 3**0.5)  # 110-220 V and 220-380 V are two connections, not a range


@dataclass(frozen=True, slots=True)
class Quantity:
    """What a piece of text says: low <= high [SI], equal for a single number.

    unit: symbol as written, dimension: what it measures ("" for a pure number, "phases" for 3 PH or 3~);
    kind: AC or DC when it is said; minus, plus: tolerance as ratios [-], None when none is stated;
    start, end: its place in the text.
    """

    low: float
    high: float
    unit: str
    dimension: str
    kind: Current = ""
    minus: float | None = None
    plus: float | None = None
    start: int = 0
    end: int = 0


@dataclass(frozen=True, slots=True)
class _Item:
    numeral: Numeral
    joint: str = ""
    unit: Unit | None = None
    kind: str = ""
    tolerance: tuple[float, float] | None = None
    absolute: bool = False
    end: int = 0


def parse(text: str, dimension: str | None = None, *, bare: str = "") -> tuple[Quantity, ...]:
    """Everything a text says in numbers, in order; only what is of `dimension` when one is given.

    The dimension also settles what one letter means: "40 C" is a temperature, "60 C" cycles when a frequency is
    wanted. bare: symbol of the unit in which numbers without one are (a column headed "voltage [V]").

    >>> [(round(q.low, 9), round(q.high, 9), q.unit, q.kind) for q in parse("88-108 MFD 220/440 VAC")]
    [(8.8e-05, 0.000108, 'µF', ''), (220.0, 220.0, 'V', 'AC'), (440.0, 440.0, 'V', 'AC')]

    Raises BadText with the place of the fault; BadInput for an unknown dimension or unit `bare`.
    """
    if dimension and dimension not in {u.dimension for u in units().values()} | {"phases"}:
        raise BadInput(f"{dimension!r} is not a dimension this program knows")
    if len(text) > LONGEST:
        raise BadText(
            "text too long for a plate", text[:LONGEST], LONGEST - 1, LONGEST, "Give one line at a time"
        )
    items = _items(text, tuple(tokens(text, dimension)))
    given = unit(bare) if bare else None
    found = [q for chain in _chains(text, items) for q in _quantities(text, chain, given, dimension)]
    wanted = tuple(q for q in found if not dimension or q.dimension == dimension)
    if not wanted:
        what = f"no {dimension}" if dimension else "no number"
        raise BadText(what, text, 0, len(text), "Write it like 440 VAC, 25 MFD, 1 1/2 HP")
    return wanted


def _items(text: str, marks: Sequence[Token]) -> tuple[_Item, ...]:
    """Numbers with what belongs to them. Labels come first (VOLTS 440) when the text begins with a unit and
    no unit follows its last number."""
    numbers = [i for i, t in enumerate(marks) if t.what == "number"]
    units_at = [i for i, t in enumerate(marks) if t.what == "unit"]
    labels = bool(numbers and units_at and units_at[0] < numbers[0] and units_at[-1] < numbers[-1])
    done: list[_Item] = []
    label, ahead, joint, fresh = None, "", "", True
    for token in marks:
        if token.numeral is not None:
            if done and not joint and not fresh:
                raise BadText(
                    "two numbers without a unit between", text, token.start, token.end, "Name the unit"
                )
            if token.numeral.signed and joint not in ("", "range", "beside"):
                raise BadText("a sign in the middle", text, token.start, token.end)
            done.append(_Item(token.numeral, joint, label, ahead, end=token.end))
            joint, fresh, ahead = "", False, ahead if labels else ""
        elif token.what in ("range", "beside"):
            joint = token.what if done else ""
        elif token.unit is not None and token.what == "unit" and labels:
            label, ahead, fresh, joint = token.unit, token.kind, True, ""
        elif token.what == "kind" and (not done or (labels and fresh)):
            ahead = token.kind
        else:
            if not done or (token.what == "unit" and done[-1].unit is not None):
                raise BadText("a unit without a number", text, token.start, token.end, "Write it like 440 V")
            done[-1] = _with(text, done[-1], token)
            fresh = fresh or token.unit is not None
    return tuple(done)


def _with(text: str, item: _Item, token: Token) -> _Item:
    """The item with what the token adds to it."""
    found = replace(item, end=token.end)
    if token.what == "tolerance":
        found = replace(found, tolerance=token.tolerance, absolute=token.unit is not None)
    if token.unit is not None and item.unit is not None and token.unit.dimension != item.unit.dimension:
        raise BadText("tolerance in another unit than the value", text, token.start, token.end)
    return replace(found, unit=item.unit or token.unit, kind=token.kind or item.kind)


def _chains(text: str, items: Sequence[_Item]) -> Iterator[tuple[_Item, ...]]:
    """Items that share a unit and stand joined; the unit, kind and tolerance written once serve them all."""
    filled = list(items)
    for i in range(len(filled) - 2, -1, -1):
        if filled[i].unit is None and filled[i + 1].joint:
            filled[i] = replace(filled[i], unit=filled[i + 1].unit)
    chain: list[_Item] = []
    for item in filled:
        if chain and item.joint and item.unit is None:
            item = replace(item, unit=chain[-1].unit)
        if chain and not (item.joint and _dimension(item) == _dimension(chain[-1])):
            yield _shared(chain)
            chain = []
        chain.append(item)
    if chain:
        yield _shared(chain)


def _dimension(item: _Item) -> str:
    return item.unit.dimension if item.unit else ""


def _shared(chain: Sequence[_Item]) -> tuple[_Item, ...]:
    """The chain with its last kind and tolerance given to items without, and false fractions split."""
    last = chain[-1]
    done: list[_Item] = []
    for item in chain:
        kind = item.kind or last.kind or chain[0].kind
        whole = replace(item, kind=kind)
        if item.tolerance is None and not last.absolute:
            whole = replace(whole, tolerance=last.tolerance)
        if item.numeral.parts and _dimension(item) in _WHOLE_ONLY:
            one, two = (replace(item.numeral, value=float(n), parts=None) for n in item.numeral.parts)
            done += [replace(whole, numeral=one), replace(whole, numeral=two, joint="beside")]
        else:
            done.append(whole)
    return tuple(done)


def _quantities(
    text: str, chain: Sequence[_Item], bare: Unit | None, dimension: str | None
) -> Iterator[Quantity]:
    if chain[0].unit is None and bare is not None:
        chain = _shared([replace(item, unit=bare) for item in chain])
    elif chain[0].unit is None and dimension:
        first = chain[0]
        raise BadText(
            "a number without a unit", text, first.numeral.start, first.end, f"Name its {dimension}"
        )
    run: list[_Item] = []
    for item in (*chain, None):
        if run and (item is None or not _range_joint(item)):
            for low, high in _pairs(text, run):
                yield from _quantity(text, low, high)
            run = []
        if item is not None:
            run.append(item)


def _range_joint(item: _Item) -> bool:
    reaches = item.joint == "beside" and item.numeral.signed and _dimension(item) == "temperature"
    return item.joint == "range" or reaches


def _pairs(text: str, run: Sequence[_Item]) -> Sequence[tuple[_Item, _Item]]:
    """A run joined by range signs: one range, or several values when it can't be one."""
    if len(run) != 2:
        return [(item, item) for item in run]
    low, high = run
    a, b = _value(low), _value(high)
    if _dimension(low) == "voltage" and a > 0 and any(abs(b / a / r - 1) < 0.03 for r in _DUAL_RATIOS):
        return [(low, low), (high, high)]
    if a <= b:
        return [(low, high)]
    if "-" in text[low.end : high.numeral.start]:
        return [(low, low), (high, high)]
    raise BadText("the range runs backwards", text, low.numeral.start, high.end, "Write the lower end first")


def _value(item: _Item) -> float:
    return item.unit.si(item.numeral.value) if item.unit else item.numeral.value


def _quantity(text: str, low: _Item, high: _Item) -> Iterator[Quantity]:
    dimension = _dimension(high)
    first, last = _value(low), _value(high)
    if first < 0 or (low.numeral.value < 0 and dimension != "temperature"):
        raise BadText("below zero", text, low.numeral.start, low.numeral.end, "Check the sign")
    minus, plus = high.tolerance or (None, None)
    if high.absolute and minus is not None and high.unit is not None:
        if not last:
            raise BadText("tolerance of nothing", text, high.numeral.start, high.end, "Check the digits")
        minus = plus = minus * high.unit.factor / last
    symbol = high.unit.symbol if high.unit else ""
    kinds: tuple[Current, ...] = ("AC", "DC") if high.kind == "AC/DC" else (_KINDS[high.kind],)
    for kind in kinds:
        yield Quantity(first, last, symbol, dimension, kind, minus, plus, low.numeral.start, high.end)
