"""The attributes of a row: a specification from the columns that carry a family's attributes."""

from __future__ import annotations

import re
from functools import lru_cache

from partsdb.attributes import Attribute
from partsdb.errors import BadInput, Finding
from partsdb.family import Family
from partsdb.importers.layout import Carried
from partsdb.importers.rows import Row
from partsdb.model import Spec, Value
from partsdb.quantities import Quantity, parse, unit
from partsdb.records import Described
from partsdb.source import Source, file_row

TOLD = 2  # identity attributes in columns of their own from which on a number isn't read for more; judgement


def spec_of(row: Row, family: Family, designation: str) -> Described:
    """What the row's columns say, before what its designation and its description say; a fault for each cell that
    can't be read.

    A number needs its unit, in the header or in the cell: a bore of 25 may be millimetres or sixteenths.
    """
    source = file_row(row.sheet.name, row.number)
    stated = [
        value
        for column in row.sheet.attributes(family)
        if column.at < len(row.cells) and (cell := row.cells[column.at])
        for value in _values(row, column, cell, source)
    ]
    told = {value.attribute for value in stated}
    # a row that says itself what the part is needs no guess at its number, which takes time and may mislead
    plain = sum(family.attribute(name).identity for name in told) >= TOLD
    known, title = row.sheet.known, row.text("title")
    if plain:
        return Described(Spec(family.name, tuple(stated)), known.odd(family, designation, title))
    described = known.describe(family, designation, title)
    more = (v for v in described.spec.values if v.attribute not in told)
    return Described(Spec(family.name, (*stated, *more)), described.unread)


def _values(row: Row, column: Carried, cell: str, source: Source) -> tuple[Value, ...]:
    attribute = column.attribute
    if attribute.unit is None:
        code = _code(attribute, cell)
        if code is None:
            _fault(row, column, cell, f"one of {', '.join(attribute.codes)}")
            return ()
        return (_value(column, cell, source, code=code),)
    try:
        read = _quantities(cell, attribute, column.unit)
    except BadInput as fault:
        _fault(row, column, cell, f"{_wanted(attribute)} ({fault.what})")
        return ()
    if wrong := _wrong(read, column):
        _fault(row, column, cell, wrong)
        return ()
    if len(read) > 1 and column.variant:
        _fault(row, column, cell, "one value in a column of one connection")
        return ()
    variants = range(1, len(read) + 1) if len(read) > 1 else (column.variant,)
    return tuple(
        _value(column, cell, source, low=q.low, high=q.high, variant=variant)
        for q, variant in zip(read, variants, strict=True)
    )


def _quantities(cell: str, attribute: Attribute, header_unit: str) -> tuple[Quantity, ...]:
    return _read(cell, unit(attribute.unit).dimension if attribute.unit else None, header_unit)


def _wrong(read: tuple[Quantity, ...], column: Carried) -> str:
    """What would be right, where a pure number has a unit, or AC and DC may be mixed up.

    A DC rating taken for an AC one may kill, so an AC or DC rating must say which it is, in header or cell.
    """
    attribute = column.attribute
    if not attribute.unit and any(q.unit for q in read):
        return "a number without a unit"
    words = {*attribute.title.upper().split(), *attribute.name.upper().split("_")}
    said = set(re.findall(r"(?<![A-Z])V?(AC|DC)(?![A-Z])", f"{column.header} {column.target}".upper()))
    for kind, other in (("AC", "DC"), ("DC", "AC")):
        if kind not in words or other in words:
            continue
        if any(q.kind == other for q in read) or other in said:
            return f"an {kind} value" if kind == "AC" else "a DC value"
        if not said and not all(q.kind for q in read):
            return "440 VAC or 440 VDC: which of the two, in the cell or the header"
    return ""


@lru_cache(maxsize=16_384)
def _read(cell: str, dimension: str | None, bare: str) -> tuple[Quantity, ...]:
    """`parse`, remembered: catalogues say the same few voltages again and again."""
    return parse(cell, dimension, bare=bare)


def _value(
    column: Carried,
    cell: str,
    source: Source,
    *,
    low: float | None = None,
    high: float | None = None,
    code: str | None = None,
    variant: int = 0,
) -> Value:
    return Value(
        column.attribute.name,
        low,
        high,
        code,
        column.qualifier,
        variant or column.variant,
        source,
        as_written=cell,
    )


def _wanted(attribute: Attribute) -> str:
    return f"a number with its unit, like 25 {attribute.unit}" if attribute.unit else "a number"


def _fault(row: Row, column: Carried, cell: str, expected: str) -> None:
    row.findings.append(Finding(row.where, column.header, cell, expected))


def _code(attribute: Attribute, cell: str) -> str | None:
    """The code word a cell means: the word, its title or a spelling of it; any word where none are listed."""
    wanted = cell.casefold()
    for code, title in attribute.codes.items():
        words = (code, title, *attribute.spellings.get(code, ()))
        if wanted in (word.casefold() for word in words):
            return code
    return None if attribute.codes else cell
