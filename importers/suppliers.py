"""Lists of suppliers: one row a service, so a supplier with two services has two rows under one name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from partsdb.importers.identity import record_id
from partsdb.importers.listing import ListColumn, Subject, with_headers
from partsdb.importers.rows import Row
from partsdb.records import Calendar, Service, Supplier
from partsdb.weekdays import WORKWEEK, weekdays


def _suppliers(rows: Iterable[Row]) -> Iterator[tuple[Row, Sequence[object]]]:
    """Rows of one name make one supplier; the first says what they share. A fault in one row drops them all."""
    groups: dict[str, list[Row]] = {}
    for row in rows:
        groups.setdefault(row.need("name"), []).append(row)
    for name, some in groups.items():
        supplier = _supplier(name, some)
        faulty = [row for row in some if row.findings]
        for row in faulty[1:] if faulty else []:
            yield row, ()
        yield (faulty[0], ()) if faulty else (some[0], (supplier,))


def _supplier(name: str, rows: Sequence[Row]) -> Supplier:
    first = rows[0]
    id = first.sheet.known.supplier_id(name) or record_id(f"{first.sheet.source}/suppliers", name)
    services = tuple(_service(row, id) for row in rows)
    for row, service in zip(rows, services, strict=True):
        if sum(service.name == other.name for other in services) > 1:
            row.fault("service", service.name, "another name for each service of a supplier")
    return Supplier(
        id,
        name,
        _calendar(first),
        services,
        first.amount("minimum_order", default="0"),
        first.text("telephone"),
        first.share("returns", 0.8),
        tuple(word.strip() for word in first.text("repairs").split("|") if word.strip()),
    )


def _service(row: Row, supplier: str) -> Service:
    name = row.text("service") or "standard"
    if not row.flag("collect"):  # how long and how dear the way is can't be left open in our favour
        row.need("transit_days")
        row.need("freight")
    return Service(
        record_id(supplier, name),
        name,
        row.clock("cut_off"),
        row.span("handling_days", (0, 0)),
        row.span("transit_days", (1, 1)),
        row.amount("freight", default="0"),
        row.flag("collect") or False,
        row.span("customs_days", (0, 0)),
        _weekdays(row, "delivers"),
    )


def _calendar(row: Row) -> Calendar:
    zone, country = row.need("zone"), row.need("country").upper()
    try:
        ZoneInfo(zone or "UTC")
    except (ZoneInfoNotFoundError, ValueError):
        row.fault("zone", zone, "a time zone like Europe/London")
    if country and not (len(country) == 2 and country.isalpha()):
        row.fault("country", country, "a country code like GB")
    return Calendar(zone, country, row.text("region").upper(), _weekdays(row, "weekdays"), _closures(row))


def _closures(row: Row) -> tuple[date, ...]:
    found = []
    for text in row.text("closures").replace("|", " ").split():
        try:
            found.append(date.fromisoformat(text))
        except ValueError:
            row.fault("closures", text, "days like 2026-12-28, separated by |")
    return tuple(found)


def _weekdays(row: Row, target: str) -> tuple[int, ...]:
    """Weekdays from "mon-fri" or "mon|wed|fri"; Monday to Friday when nothing is said."""
    said = row.text(target)
    if not said:
        return WORKWEEK
    days: set[int] = set()
    for piece in said.replace(",", "|").split("|"):
        some = weekdays(piece)
        if some is None:
            row.fault(target, said, "weekdays like mon-fri or mon|wed|fri")
            return WORKWEEK
        days |= set(some)
    return tuple(sorted(days))


SUBJECTS = (
    Subject(
        "suppliers",
        "suppliers and their services",
        with_headers(
            "suppliers",
            ListColumn("name", "supplier", needed=True),
            ListColumn("zone", "time zone", needed=True),
            ListColumn("country", "country", needed=True),
            ListColumn("region", "region"),
            ListColumn("weekdays", "works on"),
            ListColumn("closures", "closed on"),
            ListColumn("minimum_order", "minimum order"),
            ListColumn("currency", "currency"),
            ListColumn("telephone", "telephone"),
            ListColumn("returns", "refund on return"),
            ListColumn("repairs", "repairs"),
            ListColumn("service", "service"),
            ListColumn("cut_off", "cut-off", needed=True),
            ListColumn("handling_days", "handling days"),
            ListColumn("transit_days", "transit days", needed=True),
            ListColumn("freight", "freight", needed=True),
            ListColumn("collect", "collect"),
            ListColumn("customs_days", "customs days"),
            ListColumn("delivers", "delivers on"),
        ),
        _suppliers,
        Supplier,
    ),
)
