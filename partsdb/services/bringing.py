"""Bringing in a list: the good rows in one transaction, every bad row reported and kept to be mended."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from partsdb.errors import BadData, Finding
from partsdb.family import families
from partsdb.importers import Finished, Layout, Listing, References, finish, read_list, subjects
from partsdb.importers.looking import Look, layout_toml, look_at, meaning
from partsdb.importers.mending import source_of
from partsdb.importers.successions import circle_text
from partsdb.lineage import Lineage
from partsdb.reading.describing import described, kind_named, odd
from partsdb.records import Succession, Supplier
from partsdb.services.arriving import Arrived, Asked, arrive
from partsdb.store import About, Brought, Steps, Store


@dataclass(frozen=True, slots=True)
class ImportDone:
    """What an import did, or would do when dry. mend: the file the bad rows were written to; unkept: why they
    couldn't be."""

    name: str
    what: str
    brought: Brought
    read: int
    findings: tuple[Finding, ...]
    ignored: tuple[str, ...]
    dry: bool
    mend: str = ""
    unkept: str = ""


def bring(store: Store, wish: Asked, now: datetime) -> ImportDone:
    """Opens a list and brings it in: `arrive`, then `bring_in`."""
    came = arrive(store, wish)
    with came.stream or contextlib.nullcontext():
        return bring_in(store, wish, came, now)


def bring_in(
    store: Store,
    wish: Asked,
    came: Arrived,
    now: datetime,
    on_progress: Callable[..., None] | None = None,
) -> ImportDone:
    """Brings a list in; what the server said of it is noted only when all of it is in.

    Raises BadData when nothing can be read or `strict` finds a bad row; then nothing is changed.
    """
    if came.stream is None:
        return ImportDone(came.name, wish.what, Brought(again=True), 0, (), (), wish.dry_run)
    known = list_known(store, wish.supplier)
    source = _source(came.name, wish, known)
    steps = _steps(store, wish, source)
    if steps is not None:
        known = replace(known, steps=steps.stays)
    listing = read_list(came.stream, came.name, wish.what, known, wish.layout, source)
    complete = subjects()[wish.what].record if listing.full else None
    about = About(listing.source, listing.digest, listing.importer, now, complete, steps=steps)
    brought = _brought(store, listing, about, wish, on_progress)
    mend = unkept = ""
    if listing.bad_rows and not wish.dry_run:
        mend, unkept = _kept(came.mend_file, listing.mend())
    elif came.key and not wish.dry_run and (came.etag or came.modified):
        store.note_fetched(came.key, came.etag, came.modified, now)
    return ImportDone(
        came.name,
        wish.what,
        brought,
        listing.read,
        tuple(listing.findings),
        listing.ignored,
        wish.dry_run,
        mend,
        unkept,
    )


def _brought(
    store: Store, listing: Listing, about: About, wish: Asked, on_progress: Callable[..., None] | None
) -> Brought:
    """The rows read to their end first, then written in one go: whoever else writes waits for the writing only."""
    if store.brought_before(about):
        return Brought(again=True)
    with finish(listing, on_progress) as rows:
        faults = _faults(listing, listing.sheet.name, wish.strict)
        if about.steps is not None and faults:
            _refuse_kept_circle(listing, rows, about.steps)
        return store.bring(rows, replace(about, faults=faults), dry_run=wish.dry_run, on_progress=on_progress)


def _steps(store: Store, wish: Asked, source: str) -> Steps | None:
    """How numbers succeed one another, where the list is of that. A complete list replaces what it said before, so
    that isn't held against its rows."""
    about = subjects().get(wish.what)
    if about is None or about.record is not Succession:
        return None
    return store.steps_before(source if wish.layout.full else "")


def _refuse_kept_circle(listing: Listing, rows: Finished, steps: Steps) -> None:
    """Raises BadData when bad rows keep what would have gone, and that closes a circle with the good rows: a complete
    list with bad rows replaces nothing, so its rows must go together with what they said before, too."""
    lineage = Lineage((*steps.stays, *(record for _, record in rows if isinstance(record, Succession))))
    for one in steps.goes:
        way = lineage.way_back(one)
        if way is not None:
            raise BadData(
                f"{listing.sheet.name} has bad rows, so that what it said before stays, and that closes a circle "
                f"with its good rows: {circle_text(one, way)}",
                tuple(listing.findings),
                "Nothing was changed; mend the bad rows and import the whole list again",
            )
        lineage.add(one)


def _source(name: str, wish: Asked, known: References) -> str:
    """What ids hang on: two suppliers' lists may have one name."""
    return f"{known.supplier}/{source_of(name)}" if wish.supplier else source_of(name)


def look(store: Store, wish: Asked, came: Arrived) -> Look | None:
    """What the columns are taken for, so that a person can be asked; None when there is nothing to look at."""
    if came.stream is None:
        return None
    return look_at(came.stream, came.name, wish.what, list_known(store, wish.supplier), wish.layout)


def column_meaning(text: str, seen: Look) -> str:
    """What a person says a column is, as a layout states it. Raises BadInput with what it may be."""
    return meaning(text, seen.free, families())


def keep_layout(layout: Layout, came: Arrived) -> str:
    """Writes the layout beside the list, where the next import finds it; why it can't be, else ""."""
    return _kept(came.layout_file, layout_toml(layout).encode())[1]


def _kept(target: Path, content: bytes) -> tuple[str, str]:
    """Writes a file whole or not at all, because it may replace one a person worked on: (its name, trouble)."""
    unfinished = target.with_name(f".{target.name}.part")
    try:
        unfinished.write_bytes(content)
        unfinished.replace(target)
    except OSError as fault:
        with contextlib.suppress(OSError):
            unfinished.unlink(missing_ok=True)
        return "", f"{target} can't be written: {(fault.strerror or 'no reason given').lower()}"
    return str(target), ""


def counts_of(done: ImportDone) -> dict[str, int]:
    """How many records were new, changed, removed or the same, and how many rows bad."""
    b = done.brought
    counts = {"new": b.new, "changed": b.changed, "removed": b.removed, "the same": b.same}
    bad = len({finding.where for finding in done.findings})
    kept = f"kept because others name {'it' if b.kept == 1 else 'them'}"
    return counts | {kept: b.kept, "bad row" if bad == 1 else "bad rows": bad}


def changes_of(done: ImportDone) -> tuple[str, ...]:
    """Each change in words, as a dry run shows it."""
    return tuple(
        f"{c.what} {c.word} {c.label}"
        + "".join(
            f"; {name}: {before or 'nothing'} -> {after or 'nothing'}" for name, before, after in c.fields
        )
        for c in done.brought.shown
    )


def list_known(store: Store, supplier: str) -> References:
    """What the records say that a list may name. Raises NotFound when there is no such supplier."""
    numbers = store.part_numbers()
    by_name = {s.name.casefold(): s.id for s in store.all(Supplier)}
    shop = store.shop()
    return References(
        families(),
        part_id=numbers.of,
        supplier_id=lambda name: by_name.get(name.casefold()),
        describe=described,
        odd=odd,
        kind_named=kind_named,
        supplier=store.find(Supplier, supplier).id if supplier else "",
        currency=shop.currency if shop else "GBP",
    )


def _faults(listing: Listing, name: str, strict: bool) -> int:
    count = len(listing.bad_rows)
    if strict and count:
        raise BadData(
            f"{name} has {count} bad {'row' if count == 1 else 'rows'}, the first: {listing.findings[0]}",
            tuple(listing.findings),
            "Nothing was changed; mend them, or leave out --strict",
        )
    return count
