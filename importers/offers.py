"""Price lists: a supplier's offers of parts, with stock and lead times.

A row's key is the supplier's own number, or designation and maker; and the pack, because a price list may offer
one part in several packs. An offer of a part that isn't in the records brings the part along when the row says
what kind it is.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import cast

from partsdb.importers.identity import record_id
from partsdb.importers.listing import ListColumn, Subject, with_headers
from partsdb.importers.parts import DESIGNATION, FAMILY, MAKER, part_id, part_of
from partsdb.importers.rows import Row
from partsdb.importers.words import understood
from partsdb.records import Offer, Part, Stock


def _offers(rows: Iterable[Row]) -> Iterator[tuple[Row, Sequence[object]]]:
    for row in rows:
        said = row.said.get
        supplier = supplier_of(row)
        repair = bool(said("repair")) and bool(row.flag("repair"))
        part_id, brought = _repaired(row) if repair else _part(row)
        stock, units = _stock(row)
        number = said("number")
        key = (number,) if number else (said("designation") or part_id, said("maker", ""))
        pack = row.whole("pack", 1, least=1)
        offer = Offer(
            record_id(f"{supplier}/offers", *key, str(pack), "repair" if repair else ""),
            supplier,
            part_id,
            row.amount("price"),
            stock,
            row.span("lead_days", (5, 10)),
            pack,
            units,
            row.day("quoted_on"),
            repair,
            row.where,
        )
        yield row, (*brought, offer)


def supplier_of(row: Row) -> str:
    """The supplier's id: named in the row, or the one the whole list is from."""
    name = row.text("supplier")
    if not name:
        if not row.sheet.known.supplier:
            row.fault("supplier", "", "a supplier in the records")
        return row.sheet.known.supplier
    found = row.sheet.known.supplier_id(name)
    if found is None:
        row.fault("supplier", name, "a supplier in the records")
    return found or ""


def _part(row: Row) -> tuple[str, tuple[Part, ...]]:
    """The id of the part offered, and the part itself where the list brings it along."""
    designation, maker = row.text("designation"), row.text("maker")
    if not designation:
        row.fault("designation", "", "a designation")
        return "", ()
    known = row.sheet.known.part_id(designation, maker)
    if known is not None:
        return known, _said_again(row, known, designation, maker)
    if row.family(needed=False) is None:
        if not row.text("family"):
            expected = "a part in the records, or its kind in a column 'kind of part' or in its description"
            row.fault("designation", designation, expected)
        return "", ()
    part = part_of(row)
    return ("", ()) if part is None else (part.id, (part,))


def _said_again(row: Row, known: str, designation: str, maker: str) -> tuple[Part, ...]:
    """What the row says of a part on record: where the part came from this very list its newer values replace the
    older; where another source told of it, ratings in columns of their own stand beside that source's, as a dispute."""
    family = row.family(needed=False)
    if family is None:
        return ()
    own = part_id(row.sheet.source, family.name, designation, maker) == known
    part = part_of(row) if own or row.sheet.attributes(family) else None
    return (part,) if part is not None and part.spec.values else ()


def _repaired(row: Row) -> tuple[str, tuple[Part, ...]]:
    """A repair is offered of a kind of part: its family's name stands for the part."""
    family = row.family()
    return (family.name if family else ""), ()


def _stock(row: Row) -> tuple[Stock, int | None]:
    """What is said of the stock, and the pieces where a number is said."""
    said = row.text("stock").casefold()
    units = row.whole("stock_units", -1, least=-1)
    known = None if units < 0 else units
    if said.isdecimal():
        return ("in stock" if int(said) else "to order"), int(said)
    meant = understood("stock").get(said)
    if said and meant is None:
        row.fault("stock", said, "in stock, to order, not stated, or the number of pieces")
    if meant is not None and meant != "not stated":
        return cast(Stock, meant), known  # a test holds the table to the words of Stock
    return ("in stock" if known else "to order" if known == 0 else "not stated"), known


SUBJECTS = (
    Subject(
        "offers",
        "offers of a supplier",
        with_headers(
            "offers",
            ListColumn("supplier", "supplier"),
            DESIGNATION,
            MAKER,
            FAMILY,
            ListColumn("number", "supplier's number"),
            ListColumn("price", "price", needed=True),
            ListColumn("currency", "currency"),
            ListColumn("stock", "stock"),
            ListColumn("stock_units", "pieces in stock"),
            ListColumn("lead_days", "lead time (days)"),
            ListColumn("pack", "pack"),
            ListColumn("quoted_on", "quoted on"),
            ListColumn("repair", "repair"),
            ListColumn("aliases", "other numbers"),
            ListColumn("title", "title"),
        ),
        _offers,
        Offer,
        attributes=True,
    ),
)
