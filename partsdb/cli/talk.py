"""The conversation behind the bare command: for greasy hands and twenty minutes.

Every answer is saved at once; broken off, it goes on where it stopped.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import TYPE_CHECKING

from partsdb.cli.edge import Edge, progress, show, width
from partsdb.errors import BadInput, PartsError

if TYPE_CHECKING:
    from datetime import datetime

    from partsdb.records import Inquiry, Units
    from partsdb.results import Found, Known
    from partsdb.store import Store


def conversation(at: Edge) -> None:
    """Ask at most five short questions and answer in four lines."""
    from partsdb.services.loading import known

    with at.store(undisturbed=False) as store:
        inquiry = _opening(at, store)
        records = known(store)
        for question in (_machine, _doing, _measure, _worked):
            inquiry = question(inquiry, records, store)
        _answer(inquiry, records, store, at)


def _say(text: str) -> None:
    from partsdb.outputs.words import wrapped

    print("\n".join(wrapped(text, width())))


def _ask(prompt: str) -> str:
    """One line from the person; "?" and nothing both mean don't know."""
    print(f"{prompt} ", end="", flush=True)
    typed = input().strip()
    if not sys.stdin.isatty():
        print()  # no Enter was echoed
    return typed


def _again(prompt: str, understand: Callable[[str], object]) -> object:
    """Ask until the answer is understood; "?", nothing and "don't know" give None."""
    from partsdb.services.answer import DONT_KNOW

    while True:
        text = _ask(prompt)
        if text.casefold() in DONT_KNOW:
            return None
        try:
            return understand(text)
        except PartsError as fault:
            _say(f"{fault}, or ? when you don't know")


def _opening(at: Edge, store: Store) -> Inquiry:
    from partsdb.records import Inquiry
    from partsdb.services.answer import OPENING, answered, pieces, unfinished
    from partsdb.services.inquiries import Said, new_inquiry

    before = unfinished(store.all(Inquiry), at.now)
    if before is not None:
        _say(f"Go on with {' / '.join(before.fragments) or 'the last one'}?")
        if _ask("y/n").lower() == "y":
            return before
    _say(OPENING)

    def understand(text: str) -> Inquiry:
        fragments, measurements = pieces(text)
        return new_inquiry(Said(fragments, measurements, units=store.units), at.now)

    found = _again(">", understand)
    if not isinstance(found, Inquiry):
        found = _by_kind(at, store.units)
    return _keep(answered(found, {"asked": "yes"}), store)


def _by_kind(at: Edge, units: Units) -> Inquiry:
    """Nothing legible: start from the kind of part and one thing that can be measured."""
    from partsdb.family import families, family_named
    from partsdb.records import Inquiry
    from partsdb.services.inquiries import Said, new_inquiry

    _say(
        "Nothing legible. What kind of part is it? " + ", ".join(f.title.lower() for f in families().values())
    )
    family = _again(">", family_named)
    if family is None:
        raise BadInput(
            "nothing to go on yet", "Wipe the part, note any number or size on it, and start again"
        )
    name = getattr(family, "name", "")
    tool = families()[name].of_the_part[0]
    title = families()[name].attribute(tool.attribute).title
    _say(f"Measure its {title}. How: {tool.tool}. Caution: {tool.caution}")

    def understand(text: str) -> Inquiry:
        named = text if text[:1].isalpha() else f"{tool.attribute} {text}"
        return new_inquiry(Said((), (named,), name, units=units), at.now)

    found = _again(">", understand)
    if not isinstance(found, Inquiry):
        raise BadInput("nothing to go on yet", "Measure one thing on the part and start again")
    return found


def _keep(inquiry: Inquiry, store: Store) -> Inquiry:
    store.put(inquiry)
    return inquiry


def _machine(inquiry: Inquiry, known: Known, store: Store) -> Inquiry:
    from partsdb.records import Inquiry
    from partsdb.services.answer import answered, recent_machines

    if inquiry.machine_id or "machine" in inquiry.answers or not known.machines:
        return inquiry
    machines = recent_machines(known.machines, store.all(Inquiry))[:9]
    by_name = sorted(known.positions, key=lambda p: p.name)
    places = [(m.id, p.id, f"{m.name}, {p.name}") for m in machines for p in by_name if p.machine_id == m.id]
    choices = [*places, *((m.id, "", f"{m.name}, elsewhere") for m in machines)][:9]
    _say("Which machine and where?")
    for number, (_, _, title) in enumerate(choices, 1):
        _say(f"  {number} {title}")
    picked = _again(f"1-{len(choices)} or ?", lambda text: _number(text, len(choices)))
    if not isinstance(picked, int):
        return _keep(answered(inquiry, {"machine": "don't know"}), store)
    machine_id, position_id, _ = choices[picked - 1]
    return _keep(replace(inquiry, machine_id=machine_id, position_id=position_id), store)


def _number(text: str, most: int) -> int:
    if text.isdecimal() and 1 <= int(text) <= most:
        return int(text)
    raise BadInput(f"{text!r} is not on the list", f"Type a number from 1 to {most}")


def _one_key(inquiry: Inquiry, store: Store, name: str, prompt: str, keys: Mapping[str, str]) -> Inquiry:
    from partsdb.services.answer import answered

    if name in inquiry.answers:
        return inquiry

    def understand(text: str) -> str:
        if text[:1].lower() in keys:
            return keys[text[:1].lower()]
        raise BadInput(f"{text!r} is not one of the keys", f"Type one of {' '.join(keys)}")

    menu = "  ".join(f"{key} {word}" for key, word in keys.items())
    _say(f"{prompt} {menu}  ? don't know")
    picked = _again(">", understand)
    known = isinstance(picked, str)
    return _keep(answered(inquiry, {name: str(picked)} if known else {}), store)


def _doing(inquiry: Inquiry, known: Known, store: Store) -> Inquiry:
    from partsdb.services.answer import doing

    return _one_key(inquiry, store, "doing", "What is it doing?", doing())


def _worked(inquiry: Inquiry, known: Known, store: Store) -> Inquiry:
    from partsdb.services.answer import WORKED

    return _one_key(inquiry, store, "starting", "How is it worked?", WORKED)


def _measure(inquiry: Inquiry, known: Known, store: Store) -> Inquiry:
    """The one measurement that most changes the answer, with its caution."""
    from partsdb.reading.measuring import measured
    from partsdb.services.answer import answered
    from partsdb.services.inquiries import look_up

    if "measured" in inquiry.answers:
        return inquiry
    with progress("looking"):
        found = look_up(inquiry, known)
    family = found.family
    # the advice may be to read the plate again; what is asked here is always a number off a tool
    tools = {m.attribute: m for m in reversed(family.of_the_part)} if family else {}
    look = next((tools[a.attribute] for a in found.identification.advice if a.attribute in tools), None)
    if look is None or family is None or found.identification.settled:
        return inquiry
    caution = f" Caution: {look.caution}" if look.caution else ""
    title = family.attribute(look.attribute).title
    _say(f"Can you measure the {title}? How: {look.tool}.{caution}")

    def understand(text: str) -> object:
        named = text if text[:1].isalpha() else f"{look.attribute} {text}"
        return measured([named], {family.name: family})

    value = _again("value or ?", understand)
    if isinstance(value, tuple):
        inquiry = replace(inquiry, measurements=inquiry.measurements + value)
    return _keep(answered(inquiry, {"measured": "yes" if value else "don't know"}), store)


def _answer(inquiry: Inquiry, known: Known, store: Store, at: Edge) -> None:
    from partsdb.outputs.finding import caution_lines
    from partsdb.outputs.report import four_lines
    from partsdb.services.answer import answer, answered, deadline_from

    zone = known.shop.calendar.zone if known.shop else "UTC"
    _say("Running by when, and what does a late day cost? (fri 16:00 400)  ? don't know")
    given = _again(">", lambda text: deadline_from(text, at.now, zone))
    deadline, late = _both(given)
    with progress("working") as on_progress:
        made = answer(inquiry, known, at.now, deadline=deadline, late_day=late, on_progress=on_progress)
    store.put(answered(inquiry, {"answered": "yes"}))
    print()
    lines = caution_lines(made.found.cautions, width(), figures=False) + four_lines(
        made.found, made.plan, made.zone, width()
    )
    show(lines, None, False)
    for text in (made.why, _pointing(made.found, str(inquiry.answers.get("doing", "")))):
        if text:
            _say(text)
    _say(f"More: partsdb equivalents {_quoted(inquiry)} --explain")


def _pointing(found: Found, doing: str) -> str:
    """What the symptom points at, and how to tell."""
    for symptom in found.family.symptoms if found.family else ():
        if symptom.word == doing:
            what = f"It {doing}" if doing in ("hums", "leaks", "chatters") else f"It is {doing}"
            tell = (by if by.endswith("?") else f"{by}." for by in symptom.tell_by)
            ways = " ".join(way[:1].upper() + way[1:] for way in tell)
            return f"{what}? That points at: {symptom.points_at}. To tell: {ways}"
    return ""


def _both(given: object) -> tuple[datetime | None, Decimal]:
    return given if isinstance(given, tuple) else (None, Decimal(0))


def _quoted(inquiry: Inquiry) -> str:
    import shlex

    parts = [shlex.quote(f) for f in inquiry.fragments]
    parts += [f"-m {shlex.quote(m.as_written)}" for m in inquiry.measurements if m.as_written]
    return " ".join(parts)
