"""The machine's record: decisions, history, stand-ins, causes; and the demo."""

from __future__ import annotations

from typing import Annotated

import typer

from partsdb.cli.edge import Json, edge, progress, show, width


def register(app: typer.Typer) -> None:
    """Add these commands to the program."""
    app.command(
        "decide",
        epilog='Example: partsdb decide strander "main contactor" "40 A, AC-4" --why inched',
    )(decide)
    app.command("history", epilog="Example: partsdb history strander")(history)
    app.command("stand-ins", epilog="Example: partsdb stand-ins")(stand_ins)
    app.command("cause", epilog="Example: partsdb cause strander")(cause)
    app.command("demo", epilog="Example: partsdb demo")(demo)


def decide(
    context: typer.Context,
    machine: str,
    position: str,
    what: Annotated[str, typer.Argument(help="What was decided.")],
    why: Annotated[str, typer.Option(help="Why, for the next one who opens the cabinet.")],
    part: Annotated[list[str], typer.Option("--part", help="The part fitted, by title or number.")] = [],
    stand_in: Annotated[
        bool, typer.Option("--stand-in", help="It may only run for a time: register it with its conditions.")
    ] = False,
) -> None:
    """Record what was fitted and why; open questions about that position are closed."""
    from partsdb.outputs.words import bullets
    from partsdb.services.keeping import decide_for

    at = edge(context)
    with at.store() as store:
        made = decide_for(store, machine, position, what, why, part, at.now, as_stand_in=stand_in)
    until = f" Replace it by {made.temporary_until:%d %b %Y}." if made.temporary_until else ""
    lines = [f"{position}: {what}. Kept with the machine.{until}", *bullets(made.conditions, width())]
    show(lines, made, False)


def history(context: typer.Context, machine: str, as_json: Json = False) -> None:
    """Show what was decided on a machine, and the stand-ins still in it."""
    from partsdb.outputs.lists import history_lines
    from partsdb.services.keeping import machine_record

    with edge(context).store() as store:
        shop = store.shop()
        record = machine_record(store, machine)
    zone = shop.calendar.zone if shop else "UTC"
    places = {p.id: p.name for p in record.positions}
    show(
        history_lines(record.machine, places, record.decisions, record.register, zone, width()),
        record,
        as_json,
    )


def stand_ins(context: typer.Context, as_json: Json = False) -> None:
    """List the stand-ins that are fitted, and those overdue."""
    from partsdb.outputs.lists import stand_in_lines
    from partsdb.records import Position, Temporary

    at = edge(context)
    with at.store() as store:
        today = at.today(store.shop())
        register = [t for t in store.all(Temporary) if t.removed_on is None]
        places = {p.id: p.name for p in store.all(Position)}
    show(stand_in_lines(register, places, today, width()), register, as_json)


def cause(context: typer.Context, machine: str, as_json: Json = False) -> None:
    """Look for one cause behind the faults that are open on a machine."""
    from partsdb.outputs.finding import cause_lines
    from partsdb.records import Inquiry, Machine
    from partsdb.services.keeping import causes_on
    from partsdb.services.loading import known

    with edge(context).store() as store, progress("looking"):
        one = store.find(Machine, machine)
        found = causes_on(one.id, store.where(Inquiry, machine_id=one.id), known(store))
    show(cause_lines(found, width()), found, as_json)


def demo(
    runs: Annotated[int, typer.Option("--runs", min=100, help="Simulated runs.")] = 100_000,
    as_json: Json = False,
) -> None:
    """Play an invented week at a rope works, on a throw-away database."""
    from partsdb.outputs.demo import scene_lines
    from partsdb.services.demo import play

    with progress("demo") as on_progress:
        story = [(scene, scene_lines(scene, width())) for scene in play(runs=runs, on_progress=on_progress)]
    data = [{"title": scene.title, "lines": lines, "data": scene.data} for scene, lines in story]
    show([line for _, lines in story for line in (*lines, "")], data, as_json)
