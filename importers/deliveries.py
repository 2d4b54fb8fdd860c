"""Lists of past deliveries: what was promised and what came, from which lead times are learnt.

A row's key is the order number and line, or where there is none its supplier and days; equal rows are told apart
by counting them, so the same list brings the same deliveries again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from partsdb.importers.identity import record_id
from partsdb.importers.listing import ListColumn, Subject, with_headers
from partsdb.importers.offers import supplier_of
from partsdb.importers.rows import Row
from partsdb.records import Delivery


def _deliveries(rows: Iterable[Row]) -> Iterator[tuple[Row, Sequence[object]]]:
    met: Counter[tuple[str, ...]] = Counter()
    for row in rows:
        supplier = supplier_of(row)
        ordered = row.day("ordered_on")
        received = row.day("received_on")
        if ordered is None and not row.findings:
            row.fault("ordered_on", "", "the day of the order")
        if ordered and received and received < ordered:
            row.fault("received_on", received.isoformat(), f"a day after the order, {ordered}")
        number = row.text("number")
        key = (
            (supplier, number) if number else (supplier, str(ordered), str(received), row.text("quoted_days"))
        )
        met[key] += 1
        count = "" if number else str(met[key])
        yield row, (_delivery(row, record_id("deliveries", *key, count), supplier, ordered, received),)


def _delivery(row: Row, id: str, supplier: str, ordered: date | None, received: date | None) -> Delivery:
    return Delivery(
        id,
        supplier,
        ordered or date.min,
        received,
        row.span("quoted_days", (5, 10)),
        row.flag("said_in_stock") or False,
        row.flag("was_in_stock"),
        row.flag("right"),
        quantity=row.whole("quantity", 1, least=1),
    )


SUBJECTS = (
    Subject(
        "deliveries",
        "past deliveries",
        with_headers(
            "deliveries",
            ListColumn("supplier", "supplier"),
            ListColumn("number", "order number"),
            ListColumn("ordered_on", "ordered on", needed=True),
            ListColumn("received_on", "received on"),
            ListColumn("quoted_days", "quoted days", needed=True),
            ListColumn("said_in_stock", "said in stock"),
            ListColumn("was_in_stock", "was in stock"),
            ListColumn("right", "right part"),
            ListColumn("quantity", "quantity"),
        ),
        _deliveries,
        Delivery,
    ),
)
