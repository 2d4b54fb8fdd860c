"""What sources disagree about, who is believed, and which numbers a part went by."""

from __future__ import annotations

from typing import Annotated

import typer

from partsdb.cli.edge import Explain, Json, edge, show, width
from partsdb.errors import BadInput


def register(app: typer.Typer) -> None:
    """Add these commands to the program."""
    app.command("disputes", epilog="Example: partsdb disputes")(disputes)
    app.command("settle", epilog="Example: partsdb settle --rule measured")(settle)
    app.command("numbers", epilog="Example: partsdb numbers HK-20-450")(numbers)


def disputes(
    context: typer.Context,
    number: Annotated[str, typer.Argument(help="Only of this number.", show_default=False)] = "",
    as_json: Json = False,
) -> None:
    """List what sources disagree about, side by side, and what was settled; open ones count as unknown."""
    from partsdb.family import families
    from partsdb.outputs.sources import dispute_lines
    from partsdb.services.sources import disputes as found_disputes

    with edge(context).store() as store:
        found, every = found_disputes(store, number), families(store.units)
    show(dispute_lines(found, every, width()), found, as_json)


def settle(
    context: typer.Context,
    number: Annotated[str, typer.Argument(help="The part's number.", show_default=False)] = "",
    attribute: Annotated[str, typer.Argument(help="What is disputed of it.", show_default=False)] = "",
    source: Annotated[
        str, typer.Argument(help="The source that is right, or the value.", show_default=False)
    ] = "",
    why: Annotated[str, typer.Option("--why", help="How you know.")] = "",
    by: Annotated[str, typer.Option("--by", help="Who says so.")] = "you",
    rule: Annotated[str, typer.Option("--rule", help="Settle by a rule instead: measured, or surest.")] = "",
    as_json: Json = False,
) -> None:
    """Say which source is right: settle HK-25 voltage list.csv --why "read off one". Look-ups then use it."""
    from partsdb.outputs.sources import settled_lines
    from partsdb.services.sources import settle as settle_one
    from partsdb.services.sources import settle_by_rule

    at = edge(context)
    if not rule and not (number and attribute and source and why):
        raise BadInput("say what is right and why", "NUMBER ATTRIBUTE SOURCE --why TEXT, or --rule RULE")
    if rule and (attribute or source):
        raise BadInput("a rule and a source can't both be asked", "Give --rule, with a number at most")
    with at.store() as store:
        made = (
            settle_by_rule(store, rule, number, at.now)
            if rule
            else (settle_one(store, number, attribute, source, by, why, at.now),)
        )
    show(settled_lines(made, width()), made, as_json)


def numbers(
    context: typer.Context,
    number: Annotated[str, typer.Argument(help="A number on the part, or in a list.")],
    maker: Annotated[str, typer.Option("--maker", help="Whose number it is.")] = "",
    explain: Explain = False,
    as_json: Json = False,
) -> None:
    """Show what a number was superseded by, what it superseded, and what else it is called."""
    from partsdb.family import families
    from partsdb.outputs.sources import number_lines, told_lines
    from partsdb.services.sources import numbers as found_numbers

    with edge(context).store() as store:
        found, every = found_numbers(store, number, maker), families(store.units)
    lines = number_lines(found, width())
    lines += told_lines(found.parts, found.told, every, width()) if explain else []
    show(lines, found, as_json)
