"""Cases of an old part, its place and an offered part, as a person types them, through all but the terminal.

A case is a row of tests/families/account/FAMILY.csv:
    plate      what stands on the old part, pieces separated by " | "
    place      what is known beside the plate, separated by " | ": "supply_voltage=400 V" (a duty term), "measured
               bore 25 mm", "seen closure=open", "kind" (the person says what kind it is)
    offered    what is printed on the one offered; "=" is the old plate once more
    condition  of the one offered: new, used and tested, unknown, suspect
    verdict    what may be said, separated by "|"; "not stored" where the offered one is refused when it is entered
    reason     words that the answer has to say (of checks, questions, what is missing or not understood); "" for none
    slip       the class of slip that it tries: word, number, silence, duty, measurement, reading, like for like ...
    why        why it is so, in a fitter's words
    known      what is wrong with the answer today, "" where it is right (working half only)
"""

from __future__ import annotations

import csv
import hashlib
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from partsdb.errors import BadInput
from partsdb.family import families
from partsdb.reading.measuring import SAID_SO, duty_from
from partsdb.reading.seeing import PREFIX, seen_answers
from partsdb.results import Found, Known
from partsdb.services.entering import part_from_text
from partsdb.services.inquiries import Said, look_up, new_inquiry

FOLDER = Path(__file__).parents[1] / "families" / "account"
NOW = datetime(2026, 6, 10, 9, 0, tzinfo=UTC)
BREAK = " | "
ACCEPTED = ("straight swap", "fits with work", "temporary")
LADDER = ("straight swap", "fits with work", "temporary", "can't say yet", "don't fit", "not stored")


@dataclass(frozen=True, slots=True)
class Case:
    """One row; `kind` is the name of its file."""

    kind: str
    plate: str
    place: str
    offered: str
    condition: str
    verdict: str
    reason: str
    slip: str
    why: str
    known: str = ""

    @property
    def allowed(self) -> frozenset[str]:
        """The verdicts that are right."""
        return frozenset(part.strip() for part in self.verdict.split("|"))

    @property
    def scored_only(self) -> bool:
        """Whether the case is in the half that nobody mends by."""
        return hashlib.sha256(f"{self.plate}/{self.place}/{self.offered}".encode()).digest()[0] % 2 == 1


@dataclass(frozen=True, slots=True)
class Outcome:
    """What the program says of a case: the verdict, and all it says beside it."""

    verdict: str
    told: str
    questions: int


def cases_of(kind: str) -> tuple[Case, ...]:
    """The cases of a kind of part, in the order of its file."""
    with (FOLDER / f"{kind}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(Case(kind, **row) for row in csv.DictReader(file))


def pieces(text: str) -> tuple[str, ...]:
    """The pieces of a column."""
    return tuple(piece.strip() for piece in text.split(BREAK) if piece.strip())


def tried(case: Case) -> Outcome:
    """The case through the services, with the offered part in the drawer."""
    plate = pieces(case.plate)
    offered = plate if case.offered.strip() == "=" else pieces(case.offered)
    stated = [x for x in pieces(case.place) if "=" in x and not x.startswith((PREFIX, "measured "))]
    seen = [x.removeprefix(PREFIX) for x in pieces(case.place) if x.startswith(PREFIX)]
    measured = tuple(SAID_SO.sub("", x) for x in pieces(case.place) if x.startswith("measured "))
    kind = case.kind if "kind" in pieces(case.place) else ""
    try:
        part = part_from_text(offered, kind=case.kind, condition=case.condition or "new")
    except BadInput as refused:
        return Outcome("not stored", str(refused), 0)
    said = Said(plate, measured, kind, answers=duty_from(stated) | seen_answers(seen))
    found = look_up(new_inquiry(said, NOW), Known(parts=(part,)))
    return _outcome(found)


def _outcome(found: Found) -> Outcome:
    verdict = next(iter(found.shelf), None)
    questions = tuple(dict.fromkeys(q for one in found.requirements for q in one.questions))
    told = [*found.truths, *(f"{q.about}; {q.ask}; {q.breach}" for q in questions)]
    told += found.identification.unread
    if verdict is None:
        return Outcome("can't say yet", " / ".join(told), len(questions))
    told += [*(c.reason for c in verdict.checks), *verdict.missing, *(c.text for c in verdict.changes)]
    return Outcome(verdict.outcome, " / ".join(told), len(questions))


def every_case() -> tuple[Case, ...]:
    """The cases of every kind."""
    return tuple(case for kind in families() for case in cases_of(kind))


def graded(case: Case, got: Outcome) -> str:
    """How an outcome compares with what is right: "right", "wrongly accepted", "too lenient", "too strict" or "wrong
    reason"."""
    if got.verdict in case.allowed:
        return "right" if case.reason.casefold() in got.told.casefold() else "wrong reason"
    best = min(LADDER.index(v) for v in case.allowed)
    if LADDER.index(got.verdict) > best:
        return "too strict"
    return "wrongly accepted" if got.verdict in ACCEPTED and best >= 3 else "too lenient"
