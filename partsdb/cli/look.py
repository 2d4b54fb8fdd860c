"""Looking up: identify a part, find what will do instead, ask for the words the program knows."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from typing import TYPE_CHECKING, Annotated

import typer

from partsdb.cli.edge import (
    DutyTerms,
    Edge,
    Explain,
    Fragments,
    Json,
    KindOption,
    Measured,
    Seen,
    edge,
    progress,
    show,
    width,
)

if TYPE_CHECKING:
    from partsdb.results import Found

Machine = Annotated[str, typer.Option("--machine", help="The machine it sits in, by name.")]
Place = Annotated[str, typer.Option("--position", help="The position on the machine, by name.")]


def register(app: typer.Typer) -> None:
    """Add these commands to the program."""
    app.command("identify", epilog='Example: partsdb identify "2? MFD" "440 VAC" -m "17 µF"')(identify)
    app.command("equivalents", epilog='Example: partsdb equivalents "2? MFD" "440 VAC 60 CY"')(equivalents)
    app.command("words", epilog="Example: partsdb words duty")(words)


def identify(
    context: typer.Context,
    fragments: Fragments = [],
    measured: Measured = [],
    seen: Seen = [],
    kind: KindOption = "",
    machine: Machine = "",
    explain: Explain = False,
    as_json: Json = False,
) -> None:
    """Say what a part was, from what can still be read and measured, and what to check next."""
    from partsdb.family import families
    from partsdb.outputs.finding import caution_lines, identification_lines
    from partsdb.outputs.words import bullets

    found = look(edge(context), fragments, measured, kind, machine, seen=seen)
    columns = width()
    lines = caution_lines(found.cautions, columns)
    lines += identification_lines(found.identification, families(found.units), columns, explain=explain)
    lines += bullets(found.truths, columns, "! ")
    show(lines, found.identification, as_json)


def equivalents(
    context: typer.Context,
    fragments: Fragments = [],
    measured: Measured = [],
    seen: Seen = [],
    kind: KindOption = "",
    machine: Machine = "",
    position: Place = "",
    duty: DutyTerms = [],
    most: Annotated[int, typer.Option("--most", min=1, help="How many of each to show.")] = 3,
    explain: Explain = False,
    as_json: Json = False,
) -> None:
    """Say what will do instead: from the drawer, combined, as a stand-in, or bought; by what margin."""
    from partsdb.family import families
    from partsdb.outputs.report import found_lines

    found = look(edge(context), fragments, measured, kind, machine, position, duty, seen=seen)
    lines = found_lines(found, families(found.units), width(), most=most, explain=explain)
    show(lines, found, as_json)


def look(
    at: Edge,
    fragments: list[str],
    measured: list[str],
    kind: str,
    machine: str = "",
    position: str = "",
    duty: list[str] | None = None,
    seen: list[str] | None = None,
) -> Found:
    """The look-up behind these commands; without a database it works from the families alone."""
    from partsdb.reading.measuring import duty_from
    from partsdb.reading.seeing import seen_answers
    from partsdb.results import Known
    from partsdb.services.inquiries import Said, look_up, new_inquiry
    from partsdb.services.loading import Where, known, where
    from partsdb.services.sources import with_notes

    with progress("looking") as on_progress, at.store() if at.exists() or machine else nullcontext() as store:
        place = where(store, machine, position) if store else Where()
        units = store.units if store else "metric"
        answers = duty_from(duty or [], units) | seen_answers(seen or [])
        said = Said(tuple(fragments), tuple(measured), kind, place, answers, units)
        inquiry = new_inquiry(said, at.now)
        found = look_up(inquiry, known(store) if store else Known(), on_progress=on_progress)
        return with_notes(found, store) if store else found


def words(
    what: Annotated[str, typer.Argument(help="duty, or a kind of part.", show_default=False)] = "",
    as_json: Json = False,
) -> None:
    """List the kinds of part, the attributes of one kind, or the duty terms."""
    from partsdb.outputs.vocabulary import duty_lines, kind_lines, kinds_lines

    choose: dict[str, Callable[[int], tuple[list[str], object]]] = {"": kinds_lines, "duty": duty_lines}
    lines, data = choose[what](width()) if what in choose else kind_lines(what, width())
    show(lines, data, as_json)
