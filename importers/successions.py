"""Lists of how numbers and makers succeed one another. A row's key is everything it says.

A row that leads back to where it began, by way of the rows above it or of what is on record, is a fault of that row.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from partsdb.importers.identity import record_id
from partsdb.importers.listing import ListColumn, Subject, with_headers
from partsdb.importers.rows import Row
from partsdb.lineage import FAR, Lineage, TooLong, end_label, label
from partsdb.records import SUCCESSIONS, Succession, SuccessionKind


def _successions(rows: Iterable[Row]) -> Iterator[tuple[Row, Sequence[object]]]:
    lineage: Lineage | None = None
    for row in rows:
        if lineage is None:
            lineage = Lineage(row.sheet.known.steps)
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
        step = Succession(id, kind, maker, number, to_maker, to_number, row.day("since"), row.where)
        if not row.findings:
            _refuse_circle(row, step, lineage)
        if not row.findings:
            lineage.add(step)
        yield row, (step,)


def _refuse_circle(row: Row, step: Succession, lineage: Lineage) -> None:
    target, found = (
        ("to_maker", step.to_maker) if step.kind == "maker became" else ("to_number", step.to_number)
    )
    try:
        way = lineage.way_back(step, FAR)
    except TooLong:
        row.fault(target, found, "a history that can be followed; this one has too many steps")
        return
    if way is not None:
        row.fault(target, found, f"what doesn't lead back to where it began: {circle_text(step, way)}")


def circle_text(step: Succession, way: Sequence[Succession]) -> str:
    """The circle that a step closes by that way back, and who says the rest of it."""
    stops = [label(one) for one in (step, *way)]
    if len(stops) > SHOWN:
        stops = [*stops[: SHOWN - 1], "...", stops[-1]]
    said = list(dict.fromkeys(one.source or "the records" for one in way))
    others = f" (see {', '.join(said[:SHOWN])}{', ...' if len(said) > SHOWN else ''})" if said else ""
    return f"{' -> '.join((*stops, end_label(way[-1]) if way else end_label(step)))}{others}"


def _kind(row: Row) -> SuccessionKind:
    said = row.text("kind").casefold() or "superseded by"
    for kind in SUCCESSIONS:
        if said == kind:
            return kind
    row.fault("kind", said, f"one of {', '.join(SUCCESSIONS)}")
    return "superseded by"


SHOWN = 6
"""Numbers of a circle that are named."""

SUBJECTS = (
    Subject(
        "successions",
        "numbers and makers that succeed one another",
        with_headers(
            "successions",
            ListColumn("kind", "relation"),
            ListColumn("maker", "old maker"),
            ListColumn("number", "old number"),
            ListColumn("to_maker", "new maker"),
            ListColumn("to_number", "new number"),
            ListColumn("since", "since"),
        ),
        _successions,
        Succession,
    ),
)
