"""Lists of how numbers and makers succeed one another. A row's key is everything it says."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from partsdb.importers.identity import record_id
from partsdb.importers.listing import Column, Subject
from partsdb.importers.rows import Row
from partsdb.records import SUCCESSIONS, Succession, SuccessionKind


def _successions(rows: Iterable[Row]) -> Iterator[tuple[Row, Sequence[object]]]:
    for row in rows:
        kind = _kind(row)
        maker, number = row.text("maker"), row.text("number")
        to_maker, to_number = row.text("to_maker"), row.text("to_number")
        if kind == "maker became" and (not maker or not to_maker or number or to_number):
            row.fault("maker", maker, "two makers and no numbers, where a maker became another")
        if kind != "maker became" and not (number and to_number):
            row.fault("number", number, "two numbers")
        if (maker, number) == (to_maker, to_number):
            row.fault("number", number, "another number than its own")
        id = record_id(f"{row.sheet.source}/successions", kind, maker, number, to_maker, to_number)
        yield row, (Succession(id, kind, maker, number, to_maker, to_number, row.day("since"), row.where),)


def _kind(row: Row) -> SuccessionKind:
    said = row.text("kind").casefold() or "superseded by"
    for kind in SUCCESSIONS:
        if said == kind:
            return kind
    row.fault("kind", said, f"one of {', '.join(SUCCESSIONS)}")
    return "superseded by"


SUBJECTS = (
    Subject(
        "successions",
        "numbers and makers that succeed one another",
        (
            Column("kind", "relation", ("kind", "how")),
            Column("maker", "old maker", ("maker", "manufacturer")),
            Column("number", "old number", ("number", "designation", "part number", "superseded")),
            Column("to_maker", "new maker", ("to maker",)),
            Column("to_number", "new number", ("to number", "replacement", "superseded by", "replaced by")),
            Column("since", "since", ("date", "from")),
        ),
        _successions,
        Succession,
    ),
)
