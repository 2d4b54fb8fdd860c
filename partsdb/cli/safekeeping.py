"""Keeping the records safe: backups, going back, checks, everything out and in again."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli.edge import Json, edge, progress, show, width


def register(app: typer.Typer) -> None:
    """Add these commands to the program."""
    app.command("backup", epilog="Example: partsdb backup --keep 14")(backup)
    app.command("restore", epilog="Example: partsdb restore newest")(restore)
    app.command("check", epilog="Example: partsdb check")(check)
    app.command("export", epilog="Example: partsdb export everything")(export)
    app.command("bring-back", epilog="Example: partsdb bring-back everything --into new.db")(bring_back)


def backup(
    context: typer.Context,
    keep: Annotated[int, typer.Option("--keep", help="How many backups to keep; the oldest go.")] = 7,
    folder: Annotated[
        Path | None, typer.Option("--folder", help="Where to; backups beside the database otherwise.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Make a checked copy of the records, while others may work with them."""
    from partsdb.outputs.safekeeping import backup_lines
    from partsdb.services.safekeeping import make_backup

    at = edge(context)
    with at.store() as store, progress("backing up") as on_progress:
        done = make_backup(store, at.now, folder=folder, keep=keep, on_progress=on_progress)
    show(backup_lines(done.made, done.kept, width()), done, as_json)


def restore(
    context: typer.Context,
    backup: Annotated[str, typer.Argument(help="A backup's file, or: newest.")],
    as_json: Json = False,
) -> None:
    """Put a backup in the place of the records; those of now are kept aside."""
    from partsdb.outputs.safekeeping import restored_lines
    from partsdb.services.safekeeping import go_back

    at = edge(context)
    with progress("restoring"):
        done = go_back(backup, at.path, at.now)
    show(restored_lines(done.backup, done.aside, width()), done, as_json)


def check(
    context: typer.Context,
    kinds: Annotated[
        bool, typer.Option("--families", help="Check what the program knows of each kind of part instead.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Check the records for damage and contradictions; exit code 1 when there are some."""
    if kinds:
        _check_kinds(as_json=as_json)
        return
    from partsdb.outputs.safekeeping import check_lines
    from partsdb.services.safekeeping import checked

    with edge(context).store() as store, progress("checking"):
        found = checked(store)
    show(check_lines(found.database, found.faults, found.newest, width()), found, as_json)
    if found.faults:
        raise typer.Exit(1)


def _check_kinds(*, as_json: bool) -> None:
    from partsdb.family import families
    from partsdb.kit import faults
    from partsdb.outputs.safekeeping import kinds_checked

    with progress("trying the rules of every kind"):
        found = {name: faults(family) for name, family in families().items()}
    show(kinds_checked(found, width()), found, as_json)
    if any(found.values()):
        raise typer.Exit(1)


def export(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(help="A new or empty folder.")],
    as_json: Json = False,
) -> None:
    """Write everything into a folder of CSV files, one a table."""
    from partsdb.outputs.safekeeping import moved_lines
    from partsdb.services.safekeeping import everything_out

    with edge(context).store() as store, progress("exporting"):
        done = everything_out(store, folder)
    show(moved_lines(done.target, done.rows, width()), done, as_json)


def bring_back(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(help="A folder that `partsdb export` wrote.")],
    into: Annotated[
        Path | None, typer.Option("--into", help="The new database; the one of --db otherwise.")
    ] = None,
    as_json: Json = False,
) -> None:
    """Make a new database from an exported folder, identical to the one exported."""
    from partsdb.outputs.safekeeping import moved_lines
    from partsdb.services.safekeeping import everything_in

    at = edge(context)
    with progress("bringing back"):
        done = everything_in(folder, into or at.path, at.now)
    show(moved_lines(done.target, done.rows, width()), done, as_json)
