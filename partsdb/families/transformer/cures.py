"""What cures a transformer that differs: another tap, or a small one in series with its feed or its secondary."""

from __future__ import annotations

from partsdb.duty import Duty, number
from partsdb.families.transformer.formulas import booster_for, output, rated_current, rule
from partsdb.intervals import Interval
from partsdb.model import Change, Limit, Spec
from partsdb.source import PRACTICE


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """Another tap where the coils still get their volts; a boosting or bucking transformer for the secondary."""
    if limit.attribute == "primary_voltage":
        return _other_tap(limit, offered, duty)
    if limit.attribute == "volts_per_hertz":
        return _bucked_feed(limit, offered, duty)
    if limit.attribute == "secondary_voltage":
        return _booster(limit, offered, duty)
    return ()


def _middle(limit: Limit) -> float | None:
    ends = limit.accept
    if not isinstance(ends, Interval) or ends.low is None or ends.high is None:
        return None
    return (ends.low + ends.high) / 2


def _secondary_near(offered: Spec, wanted: float) -> float | None:
    volts = [v.middle for v in offered.all("secondary_voltage") if v.middle]
    return min(volts, key=lambda v: abs(v - wanted), default=None)


def _other_tap(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    supply, primary, wanted = (
        _middle(limit),
        offered.first("primary_voltage"),
        number(duty, "control_voltage"),
    )
    if supply is None or primary is None or not primary.middle:
        return ()
    secondary = _secondary_near(offered, wanted or 1e9)
    if secondary is None:
        return ()
    wanted = wanted if wanted is not None else secondary
    share = output(supply, primary.middle, secondary) / wanted
    least, most = rule("pull_in"), rule("coil_highest")
    if not least.value <= share <= most.value:
        return ()
    text = (
        f"feed its {primary.middle:.0f} V connection with {supply:.0f} V: it gives {share * wanted:.0f} V,"
        f" {share:.0%} of {wanted:.0f} V, inside the {least.value:.0%} to {most.value:.0%} coils work at; measure it"
        " under load"
    )
    return (Change("primary_voltage", text, 0.5, least.source),)


def _in_series(change: float, amperes: float, adds: bool, where: str, cures_what: str) -> tuple[Change, ...]:
    """A small transformer in series: only the change passes through it."""
    text = (
        f"a small isolating or buck-boost transformer in series {where} that"
        f" {'adds' if adds else 'takes off'} {change:.0f} V: {booster_for(amperes, change):.0f} VA or more on its"
        f" plate ({change:.0f} V at {amperes:.2f} A, only the change passes through it); measure the coils' volts"
        " while they pull in"
    )
    return (Change(cures_what, text, 1.5, PRACTICE),)


def _booster(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    wanted = _middle(limit)
    given = _secondary_near(offered, wanted) if wanted is not None else None
    power = number(duty, "load_apparent_power") or offered.num("apparent_power")
    if wanted is None or given is None or power is None or given == wanted:
        return ()
    amperes = rated_current(power, wanted)
    return _in_series(abs(wanted - given), amperes, given < wanted, "with its secondary", "secondary_voltage")


def _bucked_feed(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """Fewer volts on the primary save the iron; a cure only while the coils still get what pulls them in, and only
    where the supply's hertz are stated, as the plate of the one that is offered says nothing of the place."""
    hertz, rated = number(duty, "supply_frequency"), offered.num("volts_per_hertz")
    primary, wanted = offered.first("primary_voltage"), number(duty, "control_voltage")
    power = number(duty, "load_apparent_power") or offered.num("apparent_power")
    secondary, ends = _secondary_near(offered, wanted or 1e9), limit.accept
    if not hertz or not rated or primary is None or not primary.middle:
        return ()
    if not isinstance(ends, Interval) or ends.low is None:
        return ()
    volts = ends.low * rule("over_flux").value * hertz
    if power is None or secondary is None:
        return ()
    kept = rated * hertz
    if output(kept, primary.middle, secondary) < rule("pull_in").value * (wanted or secondary):
        return ()
    amperes = rated_current(power, kept)
    return _in_series(volts - kept, amperes, False, "with its feed", "volts_per_hertz")
