"""Bringing in lists: from a file or an address; on a terminal, columns nobody knows are asked about."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from partsdb.cli.edge import Json, edge, progress, show, width
from partsdb.errors import BadData, BadInput

if TYPE_CHECKING:
    from datetime import datetime

    from partsdb.importers import Layout
    from partsdb.importers.looking import Look
    from partsdb.services.arriving import Arrived, Asked
    from partsdb.services.bringing import ImportDone
    from partsdb.store import Store


def register(app: typer.Typer) -> None:
    """Add this command to the program."""
    app.command("import", epilog="Example: partsdb import offers prices.csv")(import_list)


def import_list(
    context: typer.Context,
    what: Annotated[
        str, typer.Argument(help="shelf, catalogue, suppliers, offers, deliveries or successions.")
    ],
    origin: Annotated[
        str, typer.Argument(metavar="FILE", help="A CSV, TSV, XLSX or JSON-lines file, or its https address.")
    ],
    strict: Annotated[
        bool,
        typer.Option("--strict", help="Refuse the whole list when a row is bad, and list every bad row."),
    ] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would change; change nothing.")
    ] = False,
    full: Annotated[
        bool, typer.Option("--full", help="The list is complete: what it lacks is removed.")
    ] = False,
    mapping: Annotated[
        Path | None, typer.Option("--mapping", help="A TOML file that says what the columns are.")
    ] = None,
    supplier: Annotated[
        str, typer.Option("--supplier", help="Whose list it is, when the rows don't say.")
    ] = "",
    as_json: Json = False,
) -> None:
    """Bring in a list: parts, suppliers, offers, past deliveries, numbers. Twice changes nothing."""
    from partsdb.outputs.lists import finding_lines
    from partsdb.services.arriving import asked

    wish = asked(what, origin, mapping=mapping, full=full, supplier=supplier, strict=strict, dry_run=dry_run)
    at = edge(context)
    with at.store(undisturbed=False) as store:
        try:
            done = _bring(store, wish, at.now, as_json)
        except BadData as fault:
            if strict and fault.findings:
                show(finding_lines(fault.findings), fault.findings, as_json)
            raise
    show(_lines(done, width()), done, as_json)
    brought = done.brought
    if done.findings and not (brought.new or brought.changed or brought.same or brought.again):
        raise BadData(
            f"{done.name} has no good row", done.findings, "Nothing was brought in; mend the rows above"
        )


def _bring(store: Store, wish: Asked, now: datetime, as_json: bool) -> ImportDone:
    from dataclasses import replace

    from partsdb.services.arriving import arrive
    from partsdb.services.bringing import bring_in, look

    with progress("fetching"):
        came = arrive(store, wish)
    with came.stream or nullcontext():
        if sys.stdin.isatty() and not as_json and (seen := look(store, wish, came)) is not None:
            wish = replace(wish, layout=_ask_columns(seen, wish.layout, came))
        with progress("importing") as on_progress:
            return bring_in(store, wish, came, now, on_progress)


def _lines(done: ImportDone, columns: int) -> list[str]:
    from partsdb.outputs.lists import import_lines
    from partsdb.services.bringing import changes_of, counts_of

    return import_lines(
        done.name,
        counts_of(done),
        changes_of(done) if done.dry else (),
        done.findings,
        columns,
        again=done.brought.again,
        dry=done.dry,
        mend=done.mend,
        unkept=done.unkept,
        ignored=done.ignored,
    )


# --------------------------------------------------------------------------- asking about columns


def _ask_columns(seen: Look, layout: Layout, came: Arrived) -> Layout:
    """The layout with what the person says of columns nobody knows, kept beside the list when they want."""
    from partsdb.importers.looking import answered
    from partsdb.services.bringing import keep_layout

    if not _wants_to_say(seen, came.name):
        return layout
    answers = {header: _ask_column(header, cells, seen) for header, cells in seen.unknown.items()}
    fixed = {
        column.target: said
        for column in seen.missing
        if column.target not in answers.values()
        and (said := _ask(f"No column is the {column.title}. Type it if it is the same in every row:"))
    }
    made = answered(layout, answers, fixed)
    if (
        made != layout
        and _ask(f"Keep this for the next such list, in {came.layout_file.name}? y/n").lower() == "y"
    ):
        trouble = keep_layout(made, came)
        _say(trouble or f"Kept in {came.layout_file}.")
    return made


def _wants_to_say(seen: Look, name: str) -> bool:
    """Whether to ask: at once when the list can't be read otherwise, else only when the person wants."""
    if not seen.missing and not seen.unknown:
        return False
    unknown = ", ".join(seen.unknown) or "none"
    if seen.missing:
        lacks = ", ".join(column.title for column in seen.missing)
        _say(f"{name}: no column is known to be the {lacks}. Columns nobody knows: {unknown}.")
        _say("Say what each is, like: price, bore in mm. Enter = not read.")
        return True
    return _ask(f"{name}: these columns are not read: {unknown}. Say what they are? y/n").lower() == "y"


def _ask_column(header: str, cells: tuple[str, ...], seen: Look) -> str:
    from partsdb.services.bringing import column_meaning

    while text := _ask(f'"{header}" ({", ".join(cells) or "empty"}) is:'):
        try:
            return column_meaning(text, seen)
        except BadInput as fault:
            _say(str(fault))
    return ""


def _say(text: str) -> None:
    from partsdb.outputs.words import wrapped

    print("\n".join(wrapped(text, width())), file=sys.stderr)


def _ask(prompt: str) -> str:
    from partsdb.guard import clean

    print(" ".join(clean(prompt).split()), end=" ", file=sys.stderr, flush=True)
    return input().strip()
