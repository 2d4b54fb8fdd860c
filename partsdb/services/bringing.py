"""Bringing in a list: the good rows in one transaction, every bad row reported and kept to be mended."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from partsdb.errors import BadData, BadInput, Finding
from partsdb.family import Family, families
from partsdb.importers import Known as ListKnown
from partsdb.importers import Layout, Listing, layout_from_toml, read_list, subjects
from partsdb.model import Spec
from partsdb.reading import identify, read
from partsdb.records import Supplier
from partsdb.source import Source
from partsdb.store import About, Brought, Store

# A designation speaks for the part where nearly all its readings agree and it makes sense at all. Judgement.
SURE = 0.9
SENSE = 0.2


@dataclass(frozen=True, slots=True)
class ImportDone:
    """What an import did, or would do when dry. mend: the file the bad rows were written to."""

    name: str
    what: str
    brought: Brought
    read: int
    findings: tuple[Finding, ...]
    ignored: tuple[str, ...]
    dry: bool
    mend: str = ""


def bring_in(
    store: Store,
    what: str,
    file: Path,
    now: datetime,
    *,
    strict: bool = False,
    dry_run: bool = False,
    full: bool = False,
    mapping: Path | None = None,
    supplier: str = "",
    on_progress: Callable[..., None] | None = None,
) -> ImportDone:
    """Brings a file in. supplier: whose list it is, where the rows don't say.

    Raises BadInput when the file can't be opened, BadData when nothing can be read or `strict` finds a bad row.
    """
    layout = _layout(mapping, full)
    try:
        stream = file.open("rb")
    except OSError as fault:
        reason = (fault.strerror or "it can't be read").lower()
        raise BadInput(f"{file}: {reason}", "Give a file that can be read") from fault
    with stream:
        listing = read_list(stream, file.name, what, _known(store, supplier), layout)
        about = About(
            file.name,
            listing.digest,
            listing.importer,
            now,
            subjects()[what].record if listing.full else None,
        )
        brought = store.bring(
            listing,
            about,
            at_end=lambda: _faults(listing, file.name, strict),
            dry_run=dry_run,
            on_progress=on_progress,
        )
    mend = _written(listing, file) if listing.bad_rows and not dry_run else ""
    return ImportDone(
        file.name, what, brought, listing.read, tuple(listing.findings), listing.ignored, dry_run, mend
    )


def counts_of(done: ImportDone) -> dict[str, int]:
    """How many records were new, changed, removed or the same, and how many rows bad."""
    b = done.brought
    counts = {"new": b.new, "changed": b.changed, "removed": b.removed, "the same": b.same}
    bad = len({finding.where for finding in done.findings})
    return counts | {"kept because others name them": b.kept, "bad rows": bad}


def changes_of(done: ImportDone) -> tuple[str, ...]:
    """Each change in words, as a dry run shows it."""
    return tuple(
        f"{c.what} {c.word} {c.label}"
        + "".join(
            f"; {name}: {before or 'nothing'} -> {after or 'nothing'}" for name, before, after in c.fields
        )
        for c in done.brought.shown
    )


def _layout(mapping: Path | None, full: bool) -> Layout:
    layout = Layout()
    if mapping is not None:
        try:
            layout = layout_from_toml(mapping.read_text(encoding="utf-8"), mapping.name)
        except (OSError, UnicodeDecodeError) as fault:
            raise BadInput(f"{mapping} can't be read", "Give a TOML file in UTF-8") from fault
    return replace(layout, full=True) if full else layout


def _known(store: Store, supplier: str) -> ListKnown:
    numbers = store.part_numbers()
    by_name = {s.name.casefold(): s.id for s in store.all(Supplier)}
    shop = store.shop()
    return ListKnown(
        families(),
        part_id=numbers.of,
        supplier_id=lambda name: by_name.get(name.casefold()),
        describe=described,
        supplier=store.find(Supplier, supplier).id if supplier else "",
        currency=shop.currency if shop else "GBP",
    )


def described(family: Family, designation: str) -> Spec:
    """What a designation itself says of the part ("6206-2RS"): the values of the likeliest reading that hold in
    nearly all readings; nothing when the text is more likely something else altogether."""
    nothing = Spec(family.name)
    if not designation:
        return nothing
    found = identify(read([designation]), {family.name: family})
    if found.best is None or found.leftover > 1 - SENSE:
        return nothing
    told = sum(h.probability for h in found.hypotheses)
    shares: dict[object, float] = {}
    for hypothesis in found.hypotheses:
        for key in {v.key for v in hypothesis.spec.values}:
            shares[key] = shares.get(key, 0.0) + hypothesis.probability / told
    best = found.best.spec
    # in a catalogue a designation is complete: a suffix that isn't there says "the usual one" as plainly as one that is
    stated = Source(f"designation {designation}", "stated")
    return replace(
        best, values=tuple(replace(v, source=stated) for v in best.values if shares[v.key] >= SURE)
    )


def _faults(listing: Listing, name: str, strict: bool) -> int:
    if strict and listing.findings:
        count = len(listing.bad_rows)
        first = listing.findings[0]
        raise BadData(
            f"{name} has {count} bad rows, the first: {first}",
            tuple(listing.findings),
            "Nothing was changed; mend them, or leave out --strict",
        )
    return len(listing.bad_rows)


def _written(listing: Listing, file: Path) -> str:
    """The bad rows as a file of their own, to be corrected and brought in again."""
    target = file.with_name(f"{file.stem}.to-mend.csv")
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(listing.headers)
    writer.writerows(cells for _, cells in listing.bad_rows)
    try:
        target.write_text(text.getvalue(), encoding="utf-8")
    except OSError:
        return ""
    return str(target)
