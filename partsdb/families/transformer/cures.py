"""What cures a transformer that differs: another tap, or a small one in series with its feed or its secondary."""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.families.transformer.limits import feed_of
from partsdb.intervals import Interval
from partsdb.model import Change, Limit, Spec
from partsdb.physics.transformers import booster_for, flux_ratio, output, rated_current, rule
from partsdb.source import PRACTICE


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """Another tap where the coils still get their volts; a boosting or bucking transformer for the secondary."""
    if limit.attribute == "primary_voltage":
        return _other_tap(limit, offered, duty)
    if limit.attribute == "volts_per_hertz":
        return _bucked_feed(offered, duty)
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
    supply, primary, wanted = _middle(limit), offered.first("primary_voltage"), asked(duty, "control_voltage")
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


def _in_series(change: float, amperes: float, adds: bool, where: str, cures_what: str) -> Change:
    """The need for a small transformer in series: only the change passes through it."""
    need = booster_for(amperes, change)
    follows = f"{change:.0f} V at {amperes:.2f} A"
    text = (
        f"a small transformer in series {where} that {'adds' if adds else 'takes off'} {change:.0f} V: {need:.0f} VA or"
        " more on its plate (only the change passes through it); measure the coils' volts while they pull in"
    )
    limits = (
        Limit(
            "kind", "one of", ("buck-boost", "isolating"), "safety", follows, PRACTICE, "not for series use"
        ),
        Limit("apparent_power", "at least", Interval(need, None), "safety", follows, PRACTICE, "overloaded"),
    )
    return Change(cures_what, text, 1.5, PRACTICE, "transformer", limits)


def _booster(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    wanted = _middle(limit)
    given = _secondary_near(offered, wanted) if wanted is not None else None
    power = asked(duty, "load_apparent_power") or offered.num("apparent_power")
    if wanted is None or given is None or power is None or given == wanted:
        return ()
    amperes = rated_current(power, wanted)
    return (
        _in_series(abs(wanted - given), amperes, given < wanted, "with its secondary", "secondary_voltage"),
    )


def _bucked_feed(offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """Fewer volts on the primary save the iron; a cure only while the coils still get what pulls them in."""
    feed, rated, primary = (
        feed_of(offered, duty),
        offered.num("volts_per_hertz"),
        offered.first("primary_voltage"),
    )
    power = asked(duty, "load_apparent_power") or offered.num("apparent_power")
    wanted = asked(duty, "control_voltage")
    secondary = _secondary_near(offered, wanted or 1e9)
    if feed.volts is None or not feed.hertz or not rated or primary is None or not primary.middle:
        return ()
    if power is None or secondary is None:
        return ()
    kept = feed.volts / flux_ratio(feed.volts, feed.hertz, rated)
    if output(kept, primary.middle, secondary) < rule("pull_in").value * (wanted or secondary):
        return ()
    change = feed.volts - kept
    return (_in_series(change, rated_current(power, kept), False, "with its feed", "volts_per_hertz"),)
