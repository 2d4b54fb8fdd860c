"""The short way: at most five questions, and an answer in four lines."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from decimal import Decimal
from uuid import uuid4
from zoneinfo import ZoneInfo

from partsdb.errors import BadInput
from partsdb.family import families
from partsdb.model import Plan
from partsdb.money import Money
from partsdb.reading.measuring import SAID_SO, measurable_names
from partsdb.records import Inquiry, Job, Machine
from partsdb.results import Found, Known
from partsdb.services.inquiries import look_up
from partsdb.services.loading import JobFile
from partsdb.services.orders import Ask, plan_job
from partsdb.services.wanting import wanted_for
from partsdb.tables import load
from partsdb.weekdays import weekday

OPENING = "What's on the part? Type what you can read, or what you measured. Don't know is fine."
DONT_KNOW = frozenset(
    ("", "?", "??", "don't know", "don’t know", "dont know", "no idea", "not known", "unknown")
)
WORKED = {"p": "plain", "o": "often", "i": "inched or reversed"}


def doing() -> dict[str, str]:
    """What a failing part can be said to do, by the key that says it."""
    return {row["key"]: row["word"] for row in load("symptoms").rows}


def pieces(line: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What was typed in answer to the opening question, as fragments and measurements.

    Pieces are separated by semicolons; one that starts with "measured", or with the name of something that can
    be measured and a number, is a measurement.
    """
    fragments: list[str] = []
    measurements: list[str] = []
    for piece in (p.strip() for p in line.split(";")):
        if piece.casefold() in DONT_KNOW:
            continue
        if SAID_SO.match(piece):
            measurements.append(SAID_SO.sub("", piece))
        elif re.search(r"\d", piece) and _is_measured(piece):
            measurements.append(piece)
        else:
            fragments.append(piece)
    return tuple(fragments), tuple(measurements)


def _is_measured(piece: str) -> bool:
    """Whether a piece begins with what something measurable is called, as no plate would write it."""
    said = re.split(r"[\d=]", piece, maxsplit=1)[0].strip().casefold().replace("_", " ")
    return said in measurable_names(families())


def recent_machines(machines: Sequence[Machine], inquiries: Sequence[Inquiry]) -> tuple[Machine, ...]:
    """The machines, the one that failed last first."""
    last = {m.id: "" for m in machines}
    for inquiry in inquiries:
        if inquiry.machine_id in last:
            last[inquiry.machine_id] = max(last[inquiry.machine_id], inquiry.started_at.isoformat())
    by_name = sorted(machines, key=lambda m: m.name)
    return tuple(sorted(by_name, key=lambda m: last[m.id], reverse=True))


def unfinished(inquiries: Sequence[Inquiry], now: datetime) -> Inquiry | None:
    """The latest inquiry of the last day that was broken off before its answer."""
    open_ones = [
        i
        for i in inquiries
        if i.ended_at is None
        and "asked" in i.answers
        and "answered" not in i.answers
        and now - i.started_at < timedelta(days=1)
    ]
    return max(open_ones, key=lambda i: i.started_at, default=None)


def answered(inquiry: Inquiry, answers: Mapping[str, str | float]) -> Inquiry:
    """The inquiry with more answers."""
    return replace(inquiry, answers={**inquiry.answers, **answers})


def moment_from(text: str, now: datetime, zone: str) -> datetime:
    """A moment as a person says it: "fri 16:00", "tomorrow", "+3", "2026-06-10 16:00". Raises BadInput.

    A day without an hour means the end of that working day, 17:00.
    """
    local = now.astimezone(ZoneInfo(zone))
    words = text.lower().split()
    if not words or len(words) > 2:
        raise _no_moment(text)
    try:
        hour = time.fromisoformat(words[1]) if len(words) == 2 else time(17)
    except ValueError:
        raise _no_moment(text) from None
    day = _day_offset(words[0], local)
    if day is None:
        raise _no_moment(text)
    found = datetime.combine((local + timedelta(days=day)).date(), hour, ZoneInfo(zone))
    if found <= now:
        raise BadInput(f"{text!r} is past", "Give a moment still to come")
    return found


def _no_moment(text: str) -> BadInput:
    return BadInput(
        f"{text!r} is no moment this program understands", "Write fri 16:00, +3, or 2026-06-10 16:00"
    )


def _day_offset(word: str, local: datetime) -> int | None:
    if word in ("today", "tomorrow"):
        return ("today", "tomorrow").index(word)
    if re.fullmatch(r"\+\d{1,3}", word):
        return int(word)
    if (day := weekday(word)) is not None:
        return (day - local.weekday()) % 7
    try:
        return (datetime.fromisoformat(word).date() - local.date()).days
    except ValueError:
        return None


def deadline_from(line: str, now: datetime, zone: str) -> tuple[datetime, Decimal]:
    """ "fri 16:00 400" as the moment to be running by, and what a late day costs (0 when not said)."""
    words = line.split()
    cost = Decimal(0)
    if len(words) > 1 and re.fullmatch(r"\d+(\.\d+)?", words[-1]):
        cost = Decimal(words.pop())
    return moment_from(" ".join(words), now, zone), cost


@dataclass(frozen=True, slots=True)
class Answer:
    """What the four lines are made from. plan None: nothing can be planned; why says what is missing."""

    found: Found
    plan: Plan | None
    zone: str
    why: str = ""


def answer(
    inquiry: Inquiry,
    known: Known,
    now: datetime,
    *,
    deadline: datetime | None = None,
    late_day: Decimal = Decimal(0),
    on_progress: Callable[..., None] | None = None,
) -> Answer:
    """The look-up, and a plan when there is a deadline, a shop and something to buy or use."""
    found = look_up(inquiry, known, on_progress=on_progress)
    zone = known.shop.calendar.zone if known.shop else "UTC"
    if deadline is None or found.family is None or not found.requirements:
        return Answer(found, None, zone)
    if known.shop is None:
        return Answer(
            found, None, zone, "Set the shop's hours once with `partsdb shop set`, then it can plan."
        )
    currency = known.shop.currency
    late = Money(int(late_day * 10_000), currency)
    job = Job(str(uuid4()), "repair", inquiry.machine_id, deadline, 0.0, late)
    title = found.family.title_of(found.family.complete(found.spec)) if found.spec else found.family.title
    wanted = wanted_for(job, inquiry, title, found.family.install_hours)
    file = JobFile(job, (wanted,), (inquiry,))
    made = plan_job(file, known, now, Ask(runs=20_000), on_progress)
    return Answer(found, made.plan, zone)
