"""What a fitter can do about a seal that doesn't quite fit: sleeves, rings, a spacer, a polished shaft, sealant."""

from __future__ import annotations

from partsdb.duty import Duty
from partsdb.families.shaft_seal.figures import rule
from partsdb.intervals import Interval
from partsdb.model import Change, Limit, Spec
from partsdb.quantities import show
from partsdb.source import PRACTICE, judgement

POLISH = Change(
    "material",
    "leather ran on rough shafts, rubber doesn't: polish the running surface to Ra "
    f"{show(rule('ra_least').value, 'µm')} to {show(rule('ra_most').value, 'µm')} without lead, or sleeve it; break "
    "the edge the lip is pushed over",
    1.0,
    rule("ra_most").source,
)


def cures(limit: Limit, offered: Spec, duty: Duty) -> tuple[Change, ...]:
    """What a fitter can do about a breach that is within reach."""
    if limit.attribute == "lip_track":
        return (_track(duty, offered.num("shaft")),)
    if limit.attribute in ("shaft", "bore", "width") and isinstance(limit.accept, Interval):
        size = offered.num(limit.attribute)
        return () if size is None else _size(limit.attribute, limit.accept, size)
    if limit.attribute == "design" and isinstance(limit.accept, tuple):
        return _design(limit.accept, offered.code("design") or "")
    if limit.attribute == "material" and limit.accept == ("leather",) and not limit.conditions:
        return (POLISH,)
    return ()


def _track(duty: Duty, shaft: float | None) -> Change:
    size = f" for {show(shaft, 'mm')}" if shaft else ""
    wall, aside = show(rule("thin_sleeve").value, "mm"), show(rule("lip_offset").value, "mm")
    if duty.get("shaft_groove") == "deep":
        text = f"push a thin repair sleeve{size} over the groove (wall {wall}, the same seal fits), groove filled first"
        return Change("lip_track", text, 1.0, rule("thin_sleeve").source)
    text = (
        f"set the lip {aside} beside the track: a spacer ring behind the seal, or pressed in less deep, where the "
        "seat is deep enough; else a thin sleeve"
    )
    return Change("lip_track", text, 0.5, rule("lip_offset").source)


def _size(name: str, accept: Interval, size: float) -> tuple[Change, ...]:
    """A narrow seal set flush; a thin sleeve for a worn shaft; a turned sleeve or ring where its wall isn't too thin.

    That wall is measured from the far end of what is accepted, so that a measured shaft or housing is no worse off
    than one known by its old seal alone.
    """
    gap = max(accept.lower - size, size - accept.upper)
    if name == "width":
        text = f"{show(gap, 'mm')} narrower: press it flush, square, so that its lip runs on ground, unworn shaft"
        return (Change("width", text, 0.25, PRACTICE),)
    if name == "shaft" and gap <= 2 * rule("thin_sleeve").value:
        text = f"the shaft is {show(gap, 'mm')} too thin: a thin repair sleeve brings it back to {show(size, 'mm')}"
        return (Change("shaft", text, 1.0, rule("thin_sleeve").source),)
    thick = max(accept.upper - size, size - accept.lower) / 2
    if thick < rule("sleeve_wall").value:
        return ()
    wall = show(thick, "mm")
    made = {
        "shaft": f"a turned sleeve on the shaft, wall {wall}, bonded on, ground to h11 and polished",
        "bore": f"a turned ring in the housing, wall {wall}, bonded in and bored to H8 with a lead-in",
    }
    return (
        Change(name, made[name], 3.0, judgement("a turned ring, its wall not thinner than the table says")),
    )


def _design(wanted: tuple[str, ...], offered: str) -> tuple[Change, ...]:
    """Metal for rubber-covered: a clean bore and sealant; a missing dust lip has no cure but a clean place."""
    dust = all(d.endswith("S") for d in wanted) and not offered.endswith("S")
    if dust or offered[:1] not in ("B", "C"):
        return ()
    text = "a metal case: dress the bore, no scratches along it, sealant on the outside, none on the lip"
    return (Change("design", text, 0.25, PRACTICE),)
