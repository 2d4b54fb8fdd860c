"""The demo: an invented week at a rope works, played through the same services a user's own data goes through.

The story (names, fragments, measurements, news) is seed_data/rope_works; nothing of it is in code.
"""

from __future__ import annotations

import tempfile
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any
from uuid import uuid4

from partsdb.family import family_named
from partsdb.model import WayOut
from partsdb.money import money
from partsdb.reading.measuring import duty_from, supply_on_plate
from partsdb.reading.seeing import PREFIX, seen_answers
from partsdb.records import Inquiry, Job, Machine, Position, Wanted
from partsdb.results import Scene
from partsdb.services.arriving import asked
from partsdb.services.bringing import bring
from partsdb.services.entering import shop_from
from partsdb.services.inquiries import Said, look_up, new_inquiry
from partsdb.services.keeping import causes_on, decide_for, machine_record
from partsdb.services.loading import JobFile, Where, job_file, known
from partsdb.services.orders import Ask, Planned, news, open_order, ordered_plan, orders_for, plan_job, rung
from partsdb.services.wanting import want
from partsdb.store import Store, open_store

Story = Mapping[str, Any]
LISTS = (("suppliers", "suppliers"), ("shelf", "shelf"), ("offers", "offers"), ("deliveries", "deliveries"))


def play(*, runs: int = 100_000, on_progress: Callable[..., None] | None = None) -> tuple[Scene, ...]:
    """The whole story on a throw-away database, as results; `outputs.demo` lays them out."""
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
            Scene("the story", story["intro"]),
            *_failures(store, story, now),
            *_ordering(store, story, now, runs, on_progress),
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


def _failures(store: Store, story: Story, now: datetime) -> list[Scene]:
    """What each failed part is and what will do instead; then the one cause behind two faults."""
    scenes = [scene for part in story["need"] for scene in _failure(store, story, part, now)]
    scenes += [_watched(store, part, now) for part in story["runs_hot"]]
    machine = store.find(Machine, story["machine"]["name"])
    found = causes_on(machine.id, store.where(Inquiry, machine_id=machine.id), known(store))
    return [*scenes, Scene("one cause?", found)]


def _failure(store: Store, story: Story, part: Story, now: datetime) -> list[Scene]:
    job = store.find(Job, story["job"]["name"])
    place = next(p for p in store.all(Position) if p.name == part["position"])
    seen = seen_answers(part.get("seen", ()))
    said = Said(tuple(part["fragments"]), tuple(part["measured"]), "", Where(job.machine_id, place.id), seen)
    inquiry, wanted = want(
        job, said, now, title=part["title"], hours=part["hours"], exists=part.get("exists", 1.0)
    )
    after = tuple(w.id for w in store.where(Wanted, job_id=job.id) if w.title in part.get("after", ()))
    store.put(inquiry, replace(wanted, after=after))
    scenes = [_looked(part["title"], inquiry, store)]
    if "later" in part:
        inquiry = replace(inquiry, fragments=tuple(part["later"]))
        store.put(inquiry)
        scene = _looked(f"{part['title']}, after one more look", inquiry, store)
        scenes.append(replace(scene, said=(part["later_said"], *scene.said)))
    return scenes


def _watched(store: Store, part: Story, now: datetime) -> Scene:
    """A part that still works but shouldn't: judged where it sits, not replaced."""
    place = next(p for p in store.all(Position) if p.name == part["position"])
    where = Where(place.machine_id, place.id)
    said = Said(tuple(part["fragments"]), tuple(part["measured"]), "", where, {"doing": "hot"})
    inquiry = new_inquiry(said, now)
    store.put(inquiry)
    return _looked(part["title"], inquiry, store)


def _looked(title: str, inquiry: Inquiry, store: Store) -> Scene:
    seen = [*(f'"{f}"' for f in inquiry.fragments), *(m.as_written for m in inquiry.measurements)]
    seen += [f"{k.removeprefix(PREFIX)} {v}" for k, v in inquiry.answers.items() if k.startswith(PREFIX)]
    return Scene(title, look_up(inquiry, known(store)), (f"Seen: {', '.join(seen)}",))


def _ordering(
    store: Store, story: Story, now: datetime, runs: int, on_progress: Callable[..., None] | None
) -> list[Scene]:
    """The plan; the telephone call that changes it; the delivery that is late; what is kept."""
    name = story["job"]["name"]
    first = _planned(store, job_file(store, name), now, runs, on_progress)
    said = _call(store, story, now)
    asked = replace(job_file(store, name), before=ordered_plan(first))
    second = _planned(store, asked, now, runs, on_progress)
    store.put(*orders_for(second, now), ordered_plan(second))
    later = datetime.fromisoformat(story["late"]["at"])
    _received(store, story, name)
    _late(store, story, name)
    third = _planned(store, job_file(store, name), later, runs, on_progress)
    return [
        Scene("the plan", first.plan, (), first.needs, first.shop.calendar.zone),
        _change("the telephone call", said, second),
        _change("a delivery is late", _late_said(story), third),
        _kept(store, story, later),
    ]


def _planned(
    store: Store, file: JobFile, now: datetime, runs: int, on_progress: Callable[..., None] | None
) -> Planned:
    return plan_job(file, known(store), now, Ask(runs=runs), on_progress)


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


def _change(title: str, said: str, planned: Planned) -> Scene:
    return Scene(title, planned.plan, (said,), planned.needs, planned.shop.calendar.zone)


def _kept(store: Store, story: Story, now: datetime) -> Scene:
    """What was decided goes into the machine's record."""
    machine = story["machine"]["name"]
    for entry in story["decision"]:
        decide_for(store, machine, entry["position"], entry["what"], entry["why"], (), now)
    shop = store.shop()
    return Scene("the record", machine_record(store, machine), zone=shop.calendar.zone if shop else "UTC")
