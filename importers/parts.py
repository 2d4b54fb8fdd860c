"""Lists of parts: what lies on the shelf, and catalogues.

A row's key is its designation and maker; a shelf row without a designation is known by its place and what it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from partsdb.importers.identity import record_id
from partsdb.importers.listing import ListColumn, Subject, with_headers
from partsdb.importers.rows import Row
from partsdb.importers.specs import spec_of
from partsdb.records import CONDITIONS, Condition, Part

DESIGNATION = ListColumn(
    "designation",
    "designation",
)
MAKER = ListColumn("maker", "maker")
FAMILY = ListColumn("family", "kind of part")
_SHARED = (
    FAMILY,
    DESIGNATION,
    MAKER,
    ListColumn("aliases", "other numbers"),
    ListColumn("title", "title"),
)


def part_id(source: str, family: str, *key: str) -> str:
    """The id of a part from a list; `key` is its designation and maker, where it has them."""
    return record_id(f"{source}/parts", family, *key)


def part_of(row: Row, *, shelf: bool = False) -> Part | None:
    """The part a row describes; None when its kind can't be told. Faults are noted in the row."""
    family = row.family()
    if family is None:
        return None
    designation, maker = row.text("designation"), row.text("maker")
    described = spec_of(row, family, designation)
    spec = described.spec
    place = row.text("place")
    if not designation and not (shelf and spec.values):
        row.fault("designation", "", "a designation" + (", or what the part is" if shelf else ""))
    key = (designation, maker) if designation else (place, *(v.as_written for v in spec.values))
    aliases = tuple(alias.strip() for alias in row.text("aliases").split("|") if alias.strip())
    return Part(
        id=part_id(row.sheet.source, family.name, *key),
        family=family.name,
        spec=spec,
        designation=designation,
        maker=maker,
        aliases=aliases,
        title=row.text("title") or (family.title_of(family.complete(spec)) if not row.findings else ""),
        place=place,
        source=row.where,
        unread=described.unread,
    )


def _shelf(rows: Iterable[Row]) -> Iterator[tuple[Row, Sequence[object]]]:
    for row in rows:
        part = part_of(row, shelf=True)
        quantity = row.whole("quantity", 1)
        condition = _condition(row)
        tested_on = row.day("tested_on")
        if part is not None:
            part = replace(part, quantity=quantity, condition=condition, tested_on=tested_on)
        yield row, () if part is None else (part,)


def _catalogue(rows: Iterable[Row]) -> Iterator[tuple[Row, Sequence[object]]]:
    for row in rows:
        part = part_of(row)
        yield row, () if part is None else (part,)


def _condition(row: Row) -> Condition:
    """What is said of the condition; nothing said is unknown, never good."""
    said = row.text("condition").casefold() or "unknown"
    for condition in CONDITIONS:
        if said == condition:
            return condition
    row.fault("condition", said, f"one of {', '.join(CONDITIONS)}")
    return "unknown"


SUBJECTS = (
    Subject(
        "shelf",
        "parts on the shelf",
        with_headers(
            "shelf",
            *_SHARED,
            ListColumn("quantity", "quantity"),
            ListColumn("condition", "condition"),
            ListColumn("tested_on", "tested on"),
            ListColumn("place", "place"),
        ),
        _shelf,
        Part,
        attributes=True,
    ),
    Subject(
        "catalogue",
        "parts of a catalogue",
        with_headers("catalogue", FAMILY, replace(DESIGNATION, needed=True), *_SHARED[2:]),
        _catalogue,
        Part,
        attributes=True,
    ),
)
