"""The plan: what to order, from whom, by which hour, and what to do when something is late."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from partsdb.model import Need, OrderLine, Plan
from partsdb.outputs.words import amount, bullets, percent, row, when, wrapped


def plan_lines(
    plan: Plan, needs: Sequence[Need], zone: str, width: int, *, explain: bool = False
) -> list[str]:
    """The whole plan for a screen of 60 columns or more; times in the shop's `zone`."""
    titles = {need.id: need.title for need in needs}
    lines = _head(plan, zone, width)
    if plan.uncovered:
        names = ", ".join(titles.get(n, n) for n in plan.uncovered)
        lines += wrapped(f"NO WAY FOUND FOR: {names}. Until there is one the job can't run.", width)
    if plan.since is not None:
        lines += wrapped(f"WHAT CHANGED since the plan of {when(plan.since, zone)}", width)
        lines += bullets(plan.changes, width, "  - ")
    lines += ["ORDER"]
    order = list(dict.fromkeys(line.need for line in plan.lines))
    for line in sorted(plan.lines, key=lambda line: order.index(line.need)):
        lines += order_lines(line, titles.get(line.need, line.need), plan, zone, width)
    lines += timeline(plan, titles, zone, width)
    lines += _calls(plan, zone, width) + _triggers(plan, zone, width)
    lines += _way_out(plan, zone, width) + _rivals(plan, width)
    if explain:
        lines += _explained(plan, width)
    return lines + bullets(plan.notes, width)


def _head(plan: Plan, zone: str, width: int) -> list[str]:
    lines = row(f"PLAN as of {when(plan.now, zone)}", f"due {when(plan.deadline, zone)}", width)
    lines += row("  ready in time", percent(plan.probability), width)
    if plan.simulated is not None and plan.standard_error is not None:
        text = f"{100 * plan.simulated:.1f} % ± {100 * plan.standard_error:.1f}"
        lines += row(f"  the same, {plan.runs:,} simulated runs", text, width)
    lines += row("  goods and carriage", amount(plan.cost, plan.currency), width)
    lines += row("  expected cost of being late", amount(plan.expected_late, plan.currency), width)
    if plan.proof:
        lines += wrapped(plan.proof, width, "  ")
    if not plan.reachable:
        asked = f" of {percent(plan.target)}" if plan.target is not None else ""
        day = f" Earliest day that reaches it: {plan.earliest:%a %d %b}." if plan.earliest else ""
        lines += wrapped(f"The target{asked} can't be met by the deadline.{day}", width, "  ")
    return lines


def order_lines(line: OrderLine, need: str, plan: Plan, zone: str, width: int) -> list[str]:
    """One line of the plan: the way, by when, and how sure it is."""
    hedge = " (order from two)" if line.hedge else ""
    lines = row(f"  {need}{hedge}", percent(line.p_in_time), width)
    cost = f", {amount(line.cost, plan.currency)}" if line.cost else ""
    source = f" from {line.supplier} by {line.service}" if line.supplier else " from the drawer"
    pieces = f"{line.quantity} × " if line.quantity > 1 else ""
    lines += wrapped(f"{pieces}{line.title}{source}{cost}", width, "    ")
    if line.order_by is not None:
        there = ""
        if line.supplier_zone and line.order_by.astimezone(ZoneInfo(line.supplier_zone)).utcoffset() != (
            line.order_by.astimezone(ZoneInfo(zone)).utcoffset()
        ):
            there = f" ({when(line.order_by, line.supplier_zone)} there)"
        rolled = "; today's cut-off has passed" if line.rolled else ""
        lines += wrapped(f"order by {when(line.order_by, zone)}{there}{rolled}", width, "    ")
    if line.supplier and line.arrived:
        lines.append("    it is here")
    elif line.need_by is not None and line.supplier:
        ordered = "ordered; " if line.ordered else ""
        lines += wrapped(f"{ordered}must be in by {when(line.need_by, zone)}", width, "    ")
    return lines


def timeline(plan: Plan, titles: dict[str, str], zone: str, width: int) -> list[str]:
    """Days against lines: how likely each is in, and the day it must be in by.

    Marks: `·` not yet, `░` possible, `▒` likely, `█` (nearly) sure, `|` the day it is needed.
    """
    bought = sorted((line for line in plan.lines if line.arrives), key=lambda line: titles.get(line.need, ""))
    if not bought:
        return []
    first = plan.now.astimezone(ZoneInfo(zone)).date()
    last = max(_last_day(bought), plan.deadline.astimezone(ZoneInfo(zone)).date())
    label = min(22, width // 3)
    days = [first + timedelta(days=n) for n in range(min((last - first).days + 1, width - label - 3))]
    lines = ["WHEN", " " * (label + 3) + "".join(_initial(day) for day in days)]
    for line in bought:
        marks = "".join(_mark(line, day, zone) for day in days)
        lines.append(f"  {titles.get(line.need, line.need)[:label]:<{label}} {marks}")
    if plan.by_day:
        marks = "".join(_shade(_by(plan.by_day, day)) for day in days)
        lines.append(f"  {'all in, job can run':<{label}.{label}} {marks}")
    return [*lines, *wrapped("· no  ░ possible  ▒ likely  █ sure  | needed that day", width, "  ")]


def _last_day(lines: Sequence[OrderLine]) -> date:
    return max(
        next((day for day, p in line.arrives if p >= 0.95 * line.arrives[-1][1]), line.arrives[-1][0])
        for line in lines
    )


def _initial(day: date) -> str:
    return "MTWTFss"[day.weekday()]


def _by(cumulative: Sequence[tuple[date, float]], day: date) -> float:
    return max((p for when_, p in cumulative if when_ <= day), default=0.0)


def _mark(line: OrderLine, day: date, zone: str) -> str:
    if line.need_by and line.need_by.astimezone(ZoneInfo(zone)).date() == day:
        return "|"
    return _shade(_by(line.arrives, day))


def _shade(p: float) -> str:
    return "·" if p < 0.02 else "░" if p < 0.5 else "▒" if p < 0.95 else "█"


def _calls(plan: Plan, zone: str, width: int) -> list[str]:
    if not plan.calls:
        return []
    lines = ["RING FIRST"]
    for call in plan.calls:
        worth = amount(call.value, plan.currency)
        lines += wrapped(f"{call.supplier} before {when(call.before, zone)}, worth {worth}", width, "  ")
        lines += bullets(call.script, width, "    - ")
        lines += wrapped(f"If yes: {call.if_yes}", width, "    ") if call.if_yes else []
        lines += wrapped(f"If no: {call.if_no}", width, "    ") if call.if_no else []
    return lines


def _triggers(plan: Plan, zone: str, width: int) -> list[str]:
    if not plan.triggers:
        return []
    lines = ["IF IT ISN'T HERE"]
    for trigger in plan.triggers:
        price = f" ({amount(trigger.cost, plan.currency)})" if trigger.cost else ""
        text = trigger.text.replace("by then", f"by {when(trigger.by, zone)}")
        lines += wrapped(f"{text}: {trigger.do}{price}", width, "  - ")
    return lines


def _way_out(plan: Plan, zone: str, width: int) -> list[str]:
    return [
        line
        for way in plan.way_out
        for line in wrapped(
            f"WAY OUT: {way.title}, {amount(way.cost, plan.currency)}; decide by {when(way.decide_by, zone)}",
            width,
        )
    ]


def _rivals(plan: Plan, width: int) -> list[str]:
    if not plan.rivals:
        return []
    lines = ["OTHER WAYS OF CHOOSING"]
    rows = [("this plan", plan.cost, plan.probability, plan.expected_late)]
    rows += [(r.name, r.cost, r.probability, r.expected_late) for r in plan.rivals]
    for name, cost, probability, late in rows:
        total = amount(cost + late, plan.currency)
        lines += row(
            f"  {name}: {amount(cost, plan.currency)}, {percent(probability)}", f"all in {total}", width
        )
    return lines


def _explained(plan: Plan, width: int) -> list[str]:
    lines = ["WHAT MORE MONEY BUYS"]
    for at in plan.frontier:
        late = amount(at.expected_late, plan.currency)
        lines += row(f"  {amount(at.cost, plan.currency)}", f"{percent(at.probability)}, late {late}", width)
    hurting = sorted((x for x in plan.lines if x.hurts > 0), key=lambda x: -x.hurts)
    if hurting:
        worst = hurting[0]
        lines += wrapped(
            f"The line that hurts most: {worst.title}. Were it certain, the plan would gain "
            f"{100 * worst.hurts:.1f} points.",
            width,
        )
    if plan.by_day:
        lines.append("READY BY")
        for day, p in plan.by_day:
            lines += row(f"  {day:%a %d %b}", percent(p), width)
    return lines
