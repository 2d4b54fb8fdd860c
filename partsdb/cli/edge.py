"""The terminal's side of every command: the clock, the width, the store, printing, progress."""

from __future__ import annotations

import json
import shutil
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any
from zoneinfo import ZoneInfo

import typer

from partsdb.errors import BadInput

if TYPE_CHECKING:
    from partsdb.records import Shop
    from partsdb.store import Store

# Options that several commands share.
Json = Annotated[bool, typer.Option("--json", help="Print the answer as JSON (SI units).")]
Explain = Annotated[bool, typer.Option("--explain", help="Show every rule, source, margin and probability.")]
Measured = Annotated[
    list[str], typer.Option("--measured", "-m", help='What you measured: "outside 52 mm", "16.9 µF ±2%".')
]
Seen = Annotated[
    list[str], typer.Option("--seen", "-s", help='What you plainly see on it: "closure=open", "poles=3".')
]
KindOption = Annotated[str, typer.Option("--kind", "-k", help="The kind of part, when you know it.")]
DutyTerms = Annotated[
    list[str], typer.Option("--duty", "-d", help='What the place asks: "working_voltage=430 V".')
]
Fragments = Annotated[
    list[str],
    typer.Argument(
        help="What can be read, piece by piece. ? = one illegible glyph, ... = an illegible run, [38] = 3 or 8.",
        show_default=False,
    ),
]


class Edge:
    """What a command gets from outside: where the records are and what time it is."""

    def __init__(self, database: Path | None, now: datetime | None) -> None:
        self.database = database
        self._now = now

    @property
    def now(self) -> datetime:
        """The present, or the moment given with --now."""
        return self._now or datetime.now(UTC)

    def today(self, shop: Shop | None) -> date:
        """The shop's calendar day."""
        return self.now.astimezone(ZoneInfo(shop.calendar.zone) if shop else UTC).date()

    @property
    def path(self) -> Path:
        """Where the database is, or would be."""
        from partsdb.store import default_path

        return self.database or default_path()

    @contextmanager
    def store(self, *, undisturbed: bool = True) -> Iterator[Store]:
        """The opened database; created or upgraded when it has to be.

        undisturbed: what is written rests on what was read, so that Overtaken is raised when another program has
        written meanwhile. False where a person is asked for minutes, or where what is written stands by itself.
        """
        from partsdb.store import open_store

        with (
            open_store(self.path, now=self.now) as store,
            store.undisturbed() if undisturbed else nullcontext(),
        ):
            yield store

    def exists(self) -> bool:
        """Whether anything was ever set up, so that a look-up needn't create a database."""
        return self.path.exists()


def edge(context: typer.Context) -> Edge:
    """The Edge made by the program's own options."""
    found = context.find_object(Edge)
    return found if found is not None else Edge(None, None)


def moment(text: str) -> datetime:
    """An ISO date and time with zone. Raises BadInput."""
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise BadInput(f"{text!r} is not a time", "Write it like 2026-06-01T09:40+01:00") from None
    if at.tzinfo is None:
        raise BadInput(f"{text!r} has no time zone", "Write it like 2026-06-01T09:40+01:00")
    if not 1970 < at.year < 2200:
        raise BadInput(f"{text!r} is out of all proportion", "Check the year")
    return at


def width() -> int:
    """Columns to write in: the terminal's, between 40 and 100; 80 in a pipe."""
    return max(40, min(100, shutil.get_terminal_size((80, 24)).columns))


def show(lines: Sequence[str], data: Any, as_json: bool) -> None:
    """Print an answer: the lines, or its machine-readable twin."""
    if as_json:
        from partsdb.outputs.plain import plain

        print(json.dumps(plain(data), ensure_ascii=False, indent=1))
    else:
        from partsdb.guard import clean

        print("\n".join(clean(line).rstrip() for line in lines))


@contextmanager
def progress(title: str) -> Iterator[Callable[..., None]]:
    """A progress line on a terminal, silence in a pipe. The callback takes a text, or (done, total)."""
    if not sys.stderr.isatty():
        yield lambda *_: None
        return
    from rich.console import Console

    with Console(stderr=True).status(title) as status:

        def report(*what: object) -> None:
            if len(what) == 1:
                status.update(f"{title}: {what[0]}")
            else:
                done, total = what[0], what[1]
                status.update(f"{title}: {done} of {total}" if total else f"{title}: {done}")

        yield report
