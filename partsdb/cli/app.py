"""The program: its own options, and the command groups."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from partsdb.cli import bringing, keeping, look, ordering, safekeeping, setup, sources
from partsdb.cli.edge import Edge, moment

app = typer.Typer(
    name="partsdb",
    add_completion=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help=(
        "From half a nameplate to a part that fits and an order that meets the job's deadline. "
        "Without a command it asks, one question at a time."
    ),
)
look.register(app)
setup.register(app)
bringing.register(app)
ordering.register(app)
keeping.register(app)
sources.register(app)
safekeeping.register(app)


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        print(f"partsdb {version('partsdb')}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def program(
    context: typer.Context,
    db: Annotated[
        Path | None, typer.Option("--db", help="The database file.", envvar="PARTSDB_DB", show_default=False)
    ] = None,
    now: Annotated[
        str,
        typer.Option("--now", help="Take this as the present: 2026-06-01T09:40+01:00.", show_default=False),
    ] = "",
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    context.obj = Edge(db, moment(now) if now else None)
    if context.invoked_subcommand is None:
        from partsdb.cli.talk import conversation

        conversation(context.obj)
