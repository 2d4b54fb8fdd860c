"""Jobs, plans and orders."""

from __future__ import annotations

from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Annotated
from uuid import uuid4

import typer

from partsdb.cli.edge import (
    DutyTerms,
    Explain,
    Fragments,
    Json,
    KindOption,
    Measured,
    Seen,
    edge,
    moment,
    progress,
    show,
    width,
)
from partsdb.errors import BadInput

Target = Annotated[
    float | None, typer.Option("--target", help="Ask for this probability of being in time: 0.95.")
]
Budget = Annotated[str, typer.Option("--budget", help="Spend at most this, in the shop's currency.")]
Runs = Annotated[int, typer.Option("--runs", min=100, help="Simulated runs.")]


def register(app: typer.Typer) -> None:
    """Add these commands to the program."""
    job = typer.Typer(help="Paid jobs that wait for a machine.", no_args_is_help=True)
    job.command(
        "add", epilog="Example: partsdb job add hawsers strander --due 2026-06-10T16:00+01:00 --late-day 400"
    )(job_add)
    job.command("list", epilog="Example: partsdb job list")(job_list)
    job.command("want", epilog='Example: partsdb job want ropes "2? MFD" "440 VAC" --title "run capacitor"')(
        job_want
    )
    job.command(
        "way-out",
        epilog='Example: partsdb job way-out ropes "ask a neighbour" --cost 900 --decide-by 2026-06-05T12:00+01:00',
    )(job_way_out)
    app.add_typer(job, name="job")
    app.command("plan", epilog="Example: partsdb plan ropes --target 0.95")(plan)
    order = typer.Typer(help="Orders placed, and news about them.", no_args_is_help=True)
    order.command("place", epilog="Example: partsdb order place ropes")(order_place)
    order.command(
        "news", epilog="Example: partsdb order news ropes contactor late --supplier Quor --day 2026-06-08"
    )(order_news)
    order.command("rung", epilog='Example: partsdb order rung Ardle "65 A" no --lead-days 6-8')(order_rung)
    order.command("list", epilog="Example: partsdb order list ropes")(order_list)
    app.add_typer(order, name="order")


def job_add(
    context: typer.Context,
    name: str,
    machine: str,
    due: Annotated[str, typer.Option(help="Promised delivery: 2026-06-10T16:00+01:00.")],
    run_hours: Annotated[float, typer.Option(help="Shop hours the job runs after the repair.", min=0)] = 8.0,
    late_day: Annotated[str, typer.Option(help="What a late day costs.")] = "0",
    lost_order: Annotated[str, typer.Option(help="What it costs when the customer goes.")] = "",
) -> None:
    """Add a job: when it is due and what a late day costs."""
    from partsdb.money import money
    from partsdb.records import Job, Machine

    at, when = edge(context), moment(due)
    if not name.strip() or run_hours > 100_000:
        raise BadInput(
            f"a job called {name!r} that runs {run_hours:g} hours", "Give it a name and the hours it runs"
        )
    with at.store() as store:
        if any(job.name.casefold() == name.casefold() for job in store.all(Job)):
            raise BadInput(f"there is already a job called {name!r}", "Choose another name")
        shop = store.shop()
        currency = shop.currency if shop else "GBP"
        job = Job(
            str(uuid4()),
            name,
            store.find(Machine, machine).id,
            when,
            run_hours,
            money(_amount(late_day), currency),
            money(_amount(lost_order), currency) if lost_order else None,
        )
        store.put(job)
    show([f"{name}: added."], job, False)


def job_list(context: typer.Context, as_json: Json = False) -> None:
    """List the jobs and what is wanted for each."""
    from partsdb.outputs.lists import job_lines, wanted_lines
    from partsdb.records import Job, Wanted

    with edge(context).store() as store:
        shop, jobs, wanted = store.shop(), store.all(Job), store.all(Wanted)
    zone = shop.calendar.zone if shop else "UTC"
    lines = [
        line
        for job in jobs
        for line in (
            *job_lines([job], zone, width()),
            *wanted_lines([w for w in wanted if w.job_id == job.id], width()),
        )
    ]
    show(lines or job_lines([], zone, width()), {"jobs": jobs, "wanted": wanted}, as_json)


def job_want(
    context: typer.Context,
    job: str,
    fragments: Fragments = [],
    measured: Measured = [],
    seen: Seen = [],
    title: Annotated[str, typer.Option(help="What you call it.")] = "",
    kind: KindOption = "",
    position: Annotated[str, typer.Option("--position", help="Where it sits on the machine.")] = "",
    duty: DutyTerms = [],
    hours: Annotated[float, typer.Option(help="Shop hours to fit it.", min=0)] = 1.0,
    exists: Annotated[
        float, typer.Option(help="How likely it is wanted at all (found on strip-down).", min=0, max=1)
    ] = 1.0,
) -> None:
    """Add a part to what the job waits for, from what can be read and measured."""
    from partsdb.reading.measuring import duty_from
    from partsdb.reading.seeing import seen_answers
    from partsdb.records import Job
    from partsdb.services.inquiries import Said
    from partsdb.services.loading import where
    from partsdb.services.wanting import want

    at = edge(context)
    with at.store() as store:
        found = store.find(Job, job)
        said = Said(
            tuple(fragments),
            tuple(measured),
            kind,
            where(store, found.machine_id, position),
            duty_from(duty, store.units) | seen_answers(seen),
            store.units,
        )
        inquiry, wanted = want(found, said, at.now, title=title, hours=hours, exists=exists)
        store.put(inquiry, wanted)
    show([f"{wanted.title}: wanted for {found.name}."], wanted, False)


def job_way_out(
    context: typer.Context,
    job: str,
    title: Annotated[str, typer.Argument(help="What can still be done when the plan fails.")],
    cost: Annotated[str, typer.Option(help="What it costs.")],
    decide_by: Annotated[str, typer.Option(help="The last hour to decide: 2026-06-08T12:00+01:00.")],
) -> None:
    """Add a way out: subcontract, another machine, part delivery, a call to the customer."""
    from dataclasses import replace

    from partsdb.model import WayOut
    from partsdb.records import Job

    way = WayOut(title, _amount(cost), moment(decide_by))
    with edge(context).store() as store:
        found = store.find(Job, job)
        store.put(replace(found, way_out=(*found.way_out, way)))
    show([f"{title}: noted as a way out for {found.name}."], way, False)


def _amount(text: str) -> Decimal:
    try:
        amount = Decimal(text)
    except InvalidOperation:
        raise BadInput(f"{text!r} is not an amount of money", "Write it like 250 or 99.50") from None
    if not amount.is_finite() or amount < 0:
        raise BadInput(f"{text!r} is not an amount of money", "Give a number of zero or more")
    return amount


def plan(
    context: typer.Context,
    job: str,
    target: Target = None,
    budget: Budget = "",
    runs: Runs = 100_000,
    explain: Explain = False,
    as_json: Json = False,
) -> None:
    """Say what to order, from whom, by which hour, and how sure that is. Orders already placed are kept, and what has
    changed since is said."""
    from partsdb.outputs.ordering import plan_lines
    from partsdb.services.loading import job_file, known
    from partsdb.services.orders import Ask, plan_job

    if target is not None and budget:
        raise BadInput("a target and a budget can't both be asked", "Give one of --target and --budget")
    most = _amount(budget) if budget else None
    at = edge(context)
    with at.store() as store:
        file, records = job_file(store, job), known(store)
    with progress("planning") as on_progress:
        made = plan_job(file, records, at.now, Ask(target, most, runs=runs), on_progress)
    zone = made.shop.calendar.zone
    show(plan_lines(made.plan, made.needs, zone, width(), explain=explain), made.plan, as_json)


def order_place(context: typer.Context, job: str, target: Target = None, as_json: Json = False) -> None:
    """Record that the plan's orders were placed now."""
    from partsdb.outputs.lists import order_lines
    from partsdb.services.loading import job_file, known
    from partsdb.services.orders import Ask, names_of, ordered_plan, orders_for, plan_job

    at = edge(context)
    with at.store() as store, progress("planning") as on_progress:
        file, records = job_file(store, job), known(store)
        made = plan_job(file, records, at.now, Ask(target), on_progress)
        orders = orders_for(made, at.now)
        store.put(*orders, *([ordered_plan(made)] if orders else []))
    show(order_lines(orders, names_of(records, file.wanted), width()), orders, as_json)


def order_news(
    context: typer.Context,
    job: str,
    what: Annotated[str, typer.Argument(help="The order: the title of what was wanted.")],
    news: Annotated[str, typer.Argument(help="received / late / wrong / cancelled")],
    supplier: Annotated[str, typer.Option(help="Whose order, when two were placed for it.")] = "",
    day: Annotated[str, typer.Option(help="The day it came, or the new promised day: 2026-06-08.")] = "",
) -> None:
    """Record news about an order; plan again afterwards to see what it changes."""
    from partsdb.services.loading import job_file
    from partsdb.services.orders import news as told
    from partsdb.services.orders import open_order

    at = edge(context)
    with at.store() as store:
        shop = store.shop()
        order = open_order(store, job_file(store, job), what, supplier)
        changed = told(order, news, _day(day) if day else at.today(shop))
        store.put(changed)
    show([f"{what}: {news}. See what it changes with `partsdb plan`."], changed, False)


def order_rung(
    context: typer.Context,
    supplier: str,
    part: Annotated[str, typer.Argument(help="The part rung about, by title or number.")],
    there: Annotated[str, typer.Argument(help="yes = in hand and put by in our name; no = not there")],
    lead_days: Annotated[str, typer.Option("--lead-days", help="Working days they quote then: 6-8.")] = "",
    as_json: Json = False,
) -> None:
    """Record what a supplier said on the telephone; plan again to see what it changes."""
    from partsdb.services.orders import rung

    if there not in ("yes", "no"):
        raise BadInput(f"{there!r} is no answer", "Say yes (put by) or no (not there)")
    at = edge(context)
    with at.store() as store:
        offer = rung(store, supplier, part, there == "yes", _span(lead_days), at.today(store.shop()))
    show([f"{part}: {offer.stock}. See what it changes with `partsdb plan`."], offer, as_json)


def _span(text: str) -> tuple[int, int] | None:
    if not text:
        return None
    low, _, high = text.partition("-")
    if not low.isdecimal() or not (high or low).isdecimal() or int(low) > int(high or low):
        raise BadInput(f"{text!r} are no working days", "Write 6-8")
    return int(low), int(high or low)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"{text!r} is not a day", "Write it like 2026-06-08") from None


def order_list(context: typer.Context, job: str, as_json: Json = False) -> None:
    """List the orders placed for a job."""
    from partsdb.outputs.lists import order_lines
    from partsdb.records import Delivery
    from partsdb.services.loading import job_file, known
    from partsdb.services.orders import names_of

    with edge(context).store() as store:
        file, records = job_file(store, job), known(store)
        orders = store.where(Delivery, job_id=file.job.id)
    show(order_lines(orders, names_of(records, file.wanted), width()), orders, as_json)
