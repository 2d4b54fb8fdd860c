"""Runs the program's commands in this process, as a person at a terminal of a given width would."""

from __future__ import annotations

import io
import os
import shlex
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from partsdb.cli import run

NOW = "2026-06-01T09:40+01:00"


@dataclass(frozen=True)
class Ran:
    """Exit code and what was printed."""

    code: int
    out: str
    err: str


class Terminal(io.StringIO):
    """What a person types at a terminal, rather than what comes through a pipe."""

    def isatty(self) -> bool:
        return True


def partsdb(
    line: str | list[str],
    db: Path,
    *,
    typed: str = "",
    columns: int = 72,
    now: str = NOW,
    at_terminal: bool = False,
) -> Ran:
    """One command line; `typed` is what the person types, into a pipe or at a terminal."""
    words = shlex.split(line) if isinstance(line, str) else line
    out, err = io.StringIO(), io.StringIO()
    with (
        patch.dict(os.environ, {"COLUMNS": str(columns), "PARTSDB_DB": str(db)}),
        patch.object(sys, "stdin", Terminal(typed) if at_terminal else io.StringIO(typed)),
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        code = run(["--db", str(db), "--now", now, *words])
    return Ran(code, out.getvalue(), err.getvalue())
