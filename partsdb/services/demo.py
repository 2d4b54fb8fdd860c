"""The demo: an invented week at a rope works, played through the same services a user's own data goes through.

The story (names, fragments, measurements, news) is seed_data/rope_works; nothing of it is in code.
"""

from __future__ import annotations

import tempfile
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any
from uuid import uuid4

from partsdb.family import families, family_named
from partsdb.model import WayOut
from partsdb.money import money
from partsdb.outputs.finding import cause_lines
from partsdb.outputs.lists import history_lines
from partsdb.outputs.ordering import plan_lines
from partsdb.outputs.report import found_lines
from partsdb.outputs.words import wrapped
from partsdb.planning import Replanned
from partsdb.records import Inquiry, Job, Machine, Position, Wanted
from partsdb.results import Found
from partsdb.services.arriving import asked
from partsdb.services.bringing import bring
from partsdb.services.entering import shop_from
from partsdb.services.inquiries import look_up, new_inquiry
from partsdb.services.keeping import causes_on, decide_for, machine_record
from partsdb.services.loading import JobFile, Where, job_file, known
from partsdb.services.measuring import duty_from, supply_on_plate
from partsdb.services.orders import Planned, news, open_order, orders_for, plan_job, replan_job, rung
from partsdb.services.seeing import PREFIX, seen_answers
from partsdb.services.wanting import want
from partsdb.store import Store, open_store

Story = Mapping[str, Any]
LISTS = (("suppliers", "suppliers"), ("shelf", "shelf"), ("offers", "offers"), ("deliveries", "deliveries"))


@dataclass(frozen=True, slots=True)
class Scene:
    """One scene: its title, what the terminal shows, and the result behind it."""

    title: str
    lines: tuple[str, ...]
    data: object


def play(
    width: int, *, runs: int = 100_000, on_progress: Callable[..., None] | None = None
) -> tuple[Scene, ...]:
    """The whole story on a throw-away database."""
    folder = files("partsdb.seed_data").joinpath("rope_works")
    story = tomllib.loads(folder.joinpath("story.toml").read_text(encoding="utf-8"))
    now = datetime.fromisoformat(story["now"])
    with (
        tempfile.TemporaryDirectory() as temporary,
        as_file(folder) as lists,
        open_store(Path(temporary) / "demo.db", now=now) as store,
    ):
        set_up(store, story, lists, now)
        return (
            Scene("the story", tuple(wrapped(" ".join(story["intro"].split()), width)), story["intro"]),
            *_failures(store, story, now, width),
            *_ordering(store, story, now, width, runs, on_progress),
        )


def set_up(store: Store, story: Story, lists: Path, now: datetime) -> None:
    """The shop, the machine with its positions, the job, and the lists brought in."""
    about = dict(story["shop"])
    supply = duty_from([f"{k}={about.pop(k)}" for k in ("supply_voltage", "supply_frequency")])
    rates = {code: Decimal(rate) for code, rate in about.pop("rates").items()}
    phases, labour = about.pop("phases"), about.pop("labour")
    volts, hertz = (float(supply[k]) for k in ("supply_voltage", "supply_frequency"))
    shop = replace(
        shop_from(about.pop("name"), **about, supply=(volts, hertz, phases)),
        rates=rates,
        labour_hour=money(labour, about["currency"]),
    )
    machine = _machine(story["machine"])
    store.put(shop, machine, _job(story["job"], machine, shop.currency), *_positions(story, machine))
    for subject, prefix in LISTS:
        for file in sorted(lists.glob(f"{prefix}*.csv")):
            bring(store, asked(subject, str(file), strict=True), now)


def _machine(about: Story) -> Machine:
    volts, hertz = supply_on_plate(about["plate"])
    return Machine(str(uuid4()), about["name"], about["year"], about["country"], volts, hertz, about["notes"])


def _job(about: Story, machine: Machine, currency: str) -> Job:
    ways = tuple(
        WayOut(w["title"], Decimal(w["cost"]), datetime.fromisoformat(w["decide_by"]))
        for w in about["way_out"]
    )
    return Job(
        str(uuid4()),
        about["name"],
        machine.id,
        datetime.fromisoformat(about["due"]),
        float(about["run_hours"]),
        money(about["late_day"], currency),
        money(about["lost_order"], currency),
        ways,
    )


def _positions(story: Story, machine: Machine) -> list[Position]:
    return [
        Position(str(uuid4()), machine.id, p["name"], family_named(p["kind"]).name, duty=duty_from(p["duty"]))
        for p in story["position"]
    ]


def _failures(store: Store, story: Story, now: datetime, width: int) -> list[Scene]:
    """What each failed part is and what will do instead; then the one cause behind two faults."""
    scenes = [scene for part in story["need"] for scene in _failure(store, story, part, now, width)]
    scenes += [_watched(store, part, now, width) for part in story["runs_hot"]]
    machine = store.find(Machine, story["machine"]["name"])
    found = causes_on(machine.id, store.where(Inquiry, machine_id=machine.id), known(store))
    return [
        *scenes,
        Scene("one cause?", tuple(_headed("THE MACHINE", cause_lines(found, width))), found),
    ]


def _failure(store: Store, story: Story, part: Story, now: datetime, width: int) -> list[Scene]:
    job = store.find(Job, story["job"]["name"])
    place = next(p for p in store.all(Position) if p.name == part["position"])
    inquiry, wanted = want(
        job,
        part["fragments"],
        part["measured"],
        now,
        title=part["title"],
        kind="",
        place=Where(job.machine_id, place.id),
        answers=seen_answers(part.get("seen", ())),
        hours=part["hours"],
        exists=part.get("exists", 1.0),
    )
    after = tuple(w.id for w in store.where(Wanted, job_id=job.id) if w.title in part.get("after", ()))
    store.put(inquiry, replace(wanted, after=after))
    scenes = [_looked(part["title"], inquiry, store, width)]
    if "later" in part:
        inquiry = replace(inquiry, fragments=tuple(part["later"]))
        store.put(inquiry)
        scene = _looked(f"{part['title']}, after one more look", inquiry, store, width)
        said = wrapped(part["later_said"], width)
        scenes.append(replace(scene, lines=(scene.lines[0], *said, *scene.lines[1:])))
    return scenes


def _watched(store: Store, part: Story, now: datetime, width: int) -> Scene:
    """A part that still works but shouldn't: judged where it sits, not replaced."""
    place = next(p for p in store.all(Position) if p.name == part["position"])
    inquiry = new_inquiry(
        part["fragments"],
        part["measured"],
        now,
        machine_id=place.machine_id,
        position_id=place.id,
        answers={"doing": "hot"},
    )
    store.put(inquiry)
    return _looked(part["title"], inquiry, store, width)


def _looked(title: str, inquiry: Inquiry, store: Store, width: int) -> Scene:
    found: Found = look_up(inquiry, known(store))
    seen = [*(f'"{f}"' for f in inquiry.fragments), *(m.as_written for m in inquiry.measurements)]
    seen += [f"{k.removeprefix(PREFIX)} {v}" for k, v in inquiry.answers.items() if k.startswith(PREFIX)]
    lines = [*wrapped(f"Seen: {', '.join(seen)}", width), *found_lines(found, families(), width, most=2)]
    return Scene(title, tuple(_headed(title.upper(), lines)), found)


def _headed(title: str, lines: Sequence[str]) -> list[str]:
    return [f"=== {title} ", *lines]


def _ordering(
    store: Store, story: Story, now: datetime, width: int, runs: int, on_progress: Callable[..., None] | None
) -> list[Scene]:
    """The plan; the telephone call that changes it; the delivery that is late; what is kept."""
    name = story["job"]["name"]
    first = _planned(store, job_file(store, name), now, runs, on_progress)
    said = _call(store, story, now)
    second = _again(store, job_file(store, name), now, first, runs, on_progress)
    called = replace(first, problem=second[0].problem, plan=second[1].plan)
    store.put(*orders_for(called, now))
    later = datetime.fromisoformat(story["late"]["at"])
    _received(store, story, name)
    _late(store, story, name)
    third = _again(store, job_file(store, name), later, called, runs, on_progress)
    return [
        Scene("the plan", tuple(_headed("THE PLAN", _plan(first, width))), first.plan),
        _change("the telephone call", said, second, width),
        _change("a delivery is late", _late_said(story), third, width),
        _kept(store, story, later, width),
    ]


def _planned(
    store: Store, file: JobFile, now: datetime, runs: int, on_progress: Callable[..., None] | None
) -> Planned:
    return plan_job(
        file.job, file.wanted, file.inquiries, known(store), now, runs=runs, on_progress=on_progress
    )


def _again(
    store: Store,
    file: JobFile,
    now: datetime,
    before: Planned,
    runs: int,
    on_progress: Callable[..., None] | None,
) -> tuple[Planned, Replanned]:
    return replan_job(
        before, file.wanted, file.inquiries, known(store), now, runs=runs, on_progress=on_progress
    )


def _plan(planned: Planned, width: int) -> list[str]:
    return plan_lines(planned.plan, planned.needs, planned.shop.calendar.zone, width)


def _call(store: Store, story: Story, now: datetime) -> str:
    """The supplier is rung; what it says is recorded with the offer."""
    call = story["call"]
    lead = call.get("lead_days")
    rung(
        store, call["supplier"], call["part"], call["there"], (lead[0], lead[1]) if lead else None, now.date()
    )
    return f"{call['supplier']} rung about {call['part']}: {call['answer']}"


def _received(store: Store, story: Story, job: str) -> None:
    """Some orders have come by the time the bad news does."""
    for came in story["received"]:
        order = open_order(store, job_file(store, job), came["title"], came["supplier"])
        store.put(news(order, "received", date.fromisoformat(came["day"])))


def _late(store: Store, story: Story, job: str) -> None:
    file = job_file(store, job)
    order = open_order(store, file, story["late"]["title"], story["late"]["supplier"])
    store.put(news(order, "late", date.fromisoformat(story["late"]["promised"])))


def _late_said(story: Story) -> str:
    late = story["late"]
    return (
        f"{late['title']}: the supplier now promises it for {date.fromisoformat(late['promised']):%A %d %B}."
    )


def _change(title: str, said: str, again: tuple[Planned, Replanned], width: int) -> Scene:
    planned, done = again
    lines = [*wrapped(said, width)]
    lines += [line for change in done.changes for line in wrapped(change, width, "  - ")]
    shown = plan_lines(done.plan, planned.needs, planned.shop.calendar.zone, width)
    return Scene(title, tuple(_headed(title.upper(), [*lines, *shown])), done)


def _kept(store: Store, story: Story, now: datetime, width: int) -> Scene:
    """What was decided goes into the machine's record."""
    machine = story["machine"]["name"]
    for entry in story["decision"]:
        decide_for(store, machine, entry["position"], entry["what"], entry["why"], (), now)
    record = machine_record(store, machine)
    shop = store.shop()
    zone = shop.calendar.zone if shop else "UTC"
    places = {p.id: p.name for p in record.positions}
    lines = history_lines(record.machine, places, record.decisions, record.register, zone, width)
    return Scene("the record", tuple(_headed("THE MACHINE'S RECORD", lines)), record)
