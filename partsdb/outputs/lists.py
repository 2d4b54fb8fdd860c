"""Lists of what is on record: shop, machines, shelf, suppliers, jobs, orders, history."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from partsdb.errors import Finding
from partsdb.family import Family, families, vocabulary
from partsdb.guard import clean
from partsdb.model import Given
from partsdb.outputs.words import amount, row, sentence, when, wrapped
from partsdb.quantities import show, spoken, unit
from partsdb.records import (
    Decision,
    Delivery,
    Hours,
    Job,
    Machine,
    Part,
    Position,
    Shop,
    Supplier,
    Temporary,
    Units,
    Wanted,
)
from partsdb.spoken import value_text
from partsdb.weekdays import DAYS


def hours_text(hours: Sequence[Hours]) -> str:
    """Weekly hours: "Mon 08:00-16:30, Tue ..."."""
    return ", ".join(f"{DAYS[h.weekday].title()} {h.opens:%H:%M}-{h.closes:%H:%M}" for h in hours)


def shop_lines(shop: Shop | None, width: int) -> list[str]:
    """What is set for the shop."""
    if shop is None:
        return ["Nothing is set yet. Set it with `partsdb shop set`."]
    calendar = shop.calendar
    place = f"{calendar.zone}, holidays of {calendar.country} {calendar.region}".strip()
    lines = [
        clean(shop.name),
        *wrapped(place, width, "  "),
        *wrapped(hours_text(shop.hours), width, "  work: "),
    ]
    lines += wrapped(hours_text(shop.goods_in), width, "  goods in: ")
    volts = show(shop.supply_voltage, "V") if shop.supply_voltage else "not said"
    hertz = show(shop.supply_frequency, "Hz") if shop.supply_frequency else "not said"
    units = "metric" if shop.units == "metric" else "inches beside the metric"
    money = f"  currency: {shop.currency}, fitters: {shop.fitters}"
    return [*lines, f"  supply: {volts}, {hertz}", money, f"  units: {units}"]


def machine_lines(machines: Sequence[Machine], width: int) -> list[str]:
    """The machines, one a line."""
    lines = []
    for m in machines:
        plate = " ".join(
            text
            for text in (
                show(m.plate_voltage, "V") if m.plate_voltage else "",
                show(m.plate_frequency, "Hz") if m.plate_frequency else "",
            )
            if text
        )
        lines += row(m.name, ", ".join(t for t in (str(m.year or ""), m.country, plate) if t), width)
    return lines or ["No machine yet. Add one with `partsdb machine add`."]


def position_lines(
    machine: Machine, places: Sequence[Position], width: int, units: Units = "metric"
) -> list[str]:
    """A machine's positions with their duty."""
    lines = [clean(machine.name)]
    for p in places:
        safety = ", protects people" if p.safety_function else ""
        lines += wrapped(f"{p.name} ({p.family.replace('_', ' ')}{safety})", width, "  ")
        duty = ", ".join(_asked(name, value, units) for name, value in p.duty.items())
        lines += wrapped(duty, width, "    ") if duty else []
    return lines if places else [*lines, "  no position yet"]


def _asked(name: str, value: float | str, units: Units) -> str:
    """A duty term as a person says it: "shaft speed 1450 rpm"."""
    term = vocabulary(families().values()).get(name)
    title = term.title if term else name.replace("_", " ")
    if isinstance(value, str):
        return f"{title}: {value}"
    if term is None or not term.unit:
        return f"{title}: {value:g}"
    beside = unit(term.unit).beside if units == "inch" else ""
    return f"{title}: {spoken(value, value, term.unit, beside)}"


def odd_lines(found: Sequence[Given], width: int) -> list[str]:
    """What stands on a part and keeps it from being taken as it is: each piece, what it means, what to do."""
    kept = {True: "Kept as suspect.", False: "Till then it replaces nothing."}
    return [
        line
        for one in found
        for line in wrapped(
            f'"{one.text}": {sentence(one.says)} {sentence(one.ask)} {kept[one.damaged]}', width, "! ", "  "
        )
    ]


def part_lines(parts: Sequence[Part], families: Mapping[str, Family], width: int) -> list[str]:
    """Parts with quantity, condition, place and values."""
    lines: list[str] = []
    for part in parts:
        family = families.get(part.family)
        held = f"{part.quantity} × {part.condition or 'catalogue'}" + (
            f", {part.place}" if part.place else ""
        )
        lines += row(part.title or part.designation, held, width)
        if family:
            values = "; ".join(
                f"{family.attribute(v.attribute).title} {value_text(family, v)}" for v in part.spec.values
            )
            lines += wrapped(values, width, "  ")
    return lines or ["Nothing on the shelf yet. Add it with `partsdb shelf add`."]


def supplier_lines(suppliers: Sequence[Supplier], width: int) -> list[str]:
    """Suppliers with their services."""
    lines: list[str] = []
    for s in suppliers:
        lines += row(s.name, f"{s.calendar.country}, {s.telephone}".strip(", "), width)
        for service in s.services:
            days = f"{service.transit_days[0]} to {service.transit_days[1]} days"
            lines += wrapped(
                f"{service.name}: order before {service.cut_off:%H:%M}, {days}, {service.freight}",
                width,
                "  - ",
            )
    return lines or ["No supplier yet. Bring them in with `partsdb import suppliers FILE`."]


def job_lines(jobs: Sequence[Job], zone: str, width: int) -> list[str]:
    """Jobs with their due date and what a late day costs."""
    lines: list[str] = []
    for job in jobs:
        late = amount(job.late_day.decimal, job.late_day.currency)
        lines += row(job.name, f"due {when(job.due, zone)}", width)
        lines += wrapped(f"runs {job.run_hours:g} h after the repair; a late day costs {late}", width, "  ")
    return lines or ["No job yet. Add one with `partsdb job add`."]


def wanted_lines(wanted: Sequence[Wanted], width: int) -> list[str]:
    """What is wanted for a job."""
    return [line for w in wanted for line in row(f"  {w.title}", f"{w.install_hours:g} h to fit", width)]


def order_lines(orders: Sequence[Delivery], names: Mapping[str, str], width: int) -> list[str]:
    """Orders placed, with their state."""
    lines: list[str] = []
    for o in orders:
        state = (
            "cancelled"
            if o.cancelled
            else "wrong part came"
            if o.right is False
            else f"received {o.received_on}"
            if o.received_on
            else f"late, promised {o.promised_on}"
            if o.promised_on
            else "on its way"
        )
        title = names.get(o.wanted_id, o.offer_id)
        lines += row(f"{title}, from {names.get(o.supplier_id, o.supplier_id)}", state, width)
    return lines or ["No order placed yet."]


def history_lines(
    machine: Machine,
    places: Mapping[str, str],
    decisions: Sequence[Decision],
    register: Sequence[Temporary],
    zone: str,
    width: int,
) -> list[str]:
    """What was decided on a machine, and the stand-ins still in it."""
    lines = [clean(machine.name)]
    for d in sorted(decisions, key=lambda d: d.decided_at):
        lines += wrapped(f"{when(d.decided_at, zone)} {places[d.position_id]}: {d.what}", width, "  ")
        lines += wrapped(f"because {d.why}", width, "    ")
    for t in register:
        if t.removed_on is None:
            lines += wrapped(
                f"STAND-IN in {places[t.position_id]}: replace by {t.replace_by:%d %b %Y}", width, "  ! "
            )
            lines += wrapped("; ".join(t.conditions), width, "    ") if t.conditions else []
    return lines if len(lines) > 1 else [*lines, "  nothing decided yet"]


def stand_in_lines(
    register: Sequence[Temporary], places: Mapping[str, str], today: date, width: int
) -> list[str]:
    """The register of stand-ins, those overdue marked."""
    lines: list[str] = []
    for t in sorted(register, key=lambda t: t.replace_by):
        state = "OVERDUE" if t.replace_by <= today else "replace by"
        lines += row(places.get(t.position_id, t.position_id), f"{state} {t.replace_by:%d %b %Y}", width)
        lines += wrapped("; ".join(t.conditions), width, "  ") if t.conditions else []
    return lines or ["No stand-in is fitted."]


def import_lines(
    name: str,
    counts: Mapping[str, int],
    changes: Sequence[str],
    findings: Sequence[Finding],
    width: int,
    *,
    again: bool = False,
    dry: bool = False,
    mend: str = "",
    unkept: str = "",
    ignored: Sequence[str] = (),
) -> list[str]:
    """What an import did, or would do, and every bad row. unkept: why the bad rows couldn't be put by."""
    if again:
        return wrapped(f"{name}: this very list is in already; nothing to do.", width)
    told = ", ".join(f"{n} {word}" for word, n in counts.items() if n) or "nothing to do"
    lines = wrapped(f"{name}: {'would be ' if dry else ''}{told}", width)
    lines += [line for change in changes for line in wrapped(change, width, "  ", "    ")]
    lines += [line for finding in findings for line in wrapped(str(finding), width, "  ! ")]
    if ignored:
        lines += wrapped(f"columns not read: {', '.join(ignored)}", width, "  ")
    one = len({finding.where for finding in findings}) == 1
    rows, them = ("The bad row is", "it") if one else ("The bad rows are", "them")
    if mend:
        lines += wrapped(f"{rows} in {mend}: correct {them} there and import that file.", width)
    if unkept:
        lines += wrapped(f"{rows} not kept for mending: {unkept}", width)
    return lines


def finding_lines(findings: Sequence[Finding]) -> list[str]:
    """Every fault of a list that was refused, one a line, however long."""
    return [" ".join(clean(str(finding)).split()) for finding in findings]
