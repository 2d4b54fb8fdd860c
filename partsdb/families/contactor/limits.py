"""What the place of a contactor asks of one. Every rating needs its category and volts.

Sources: IEC 60947-4-1 (categories, coil limits), NEMA ICS 2 (sizes); see the family's docstring.
"""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.families.contactor import asked
from partsdb.family import Rule
from partsdb.kit import ANY, Fact, Place, as_good_as, at_least, at_most, fact, moot, one_of, unknown
from partsdb.physics.coils import control_frequency
from partsdb.physics.loads import load_current
from partsdb.physics.utilization import category_title, qualifier, rating
from partsdb.source import PRACTICE, judgement

_SIGNAL = judgement("10 A contacts are the largest we'd trust below 1 A")
_BOTH = fact("mechanical and electrical", "plate: a reversing pair", PRACTICE)
_BOTH_IN = (
    "both contactors in at once is a dead short: the pair needs a mechanical and an electrical interlock"
)


def require(place: Place) -> Iterator[Rule | None]:
    """The limits of the place. The load and its voltage come from the duty when it is known, else from what the
    old part was rated for; an unknown way of working counts as the heaviest the old part was rated for."""
    yield from _load(place)
    yield from _supply(place)
    yield from _coil(place)
    for name in ("aux_no", "aux_nc"):
        had_none = place.was.num(name) == 0
        yield moot("the old one had none", name) if had_none else at_least(place, name, reach=ANY)
    if place.was.code("device") != "starter":
        yield moot("only a starter needs an overload relay", "device")
    if place.was.code("arrangement") == "reversing":
        yield as_good_as(place, "interlock", "safety", _BOTH_IN, want=_BOTH, reach=ANY)
    else:
        yield moot("one contactor is asked for", "arrangement")


def _supply_volts(place: Place) -> float | None:
    """The supply's nominal volts; those of its AC say nothing of what feeds contacts that switch DC."""
    of_ac = asked.switches_dc(place) and place.word("supply_kind") is None
    system = None if of_ac else place.system()
    return system.number if system else None


def _load(place: Place) -> Iterator[Rule | None]:
    needs, load = _needs(place), load_current(place)
    if not needs:
        yield unknown(place, "current")
    for name, amperes in needs.items():
        breach = (
            f"its contacts burn away or weld shut on this current ({category_title(rating(name).category)})"
        )
        yield at_least(place, "current", "safety", breach, want=amperes, at=name)
    if needs and load and (load.number or 0.0) < 1.0:
        breach = "contacts this heavy don't make reliably on so small a current"
        heaviest = fact(10.0, "duty: a signal, not a load", _SIGNAL)
        yield at_most(place, "current", "function", breach, want=heaviest, at=next(iter(needs)))


def _needs(place: Place) -> dict[str, Fact]:
    """The amperes asked under each category and voltage: the duty's, else those of the old part's ratings. A rating
    of no category says nothing, one at no voltage holds at the supply's."""
    volts = _supply_volts(place)
    load = asked.current_at(place, volts) if volts else load_current(place)
    if load and volts:
        return {qualifier(category, volts): load for category in asked.categories(place)}
    lightly = place.word("starting") in ("plain", "often")
    needs: dict[str, Fact] = {}
    for v in place.was.all("current"):
        of = rating(v.qualifier)
        at = qualifier(of.category, of.voltage or volts)
        complete = of.category == "continuous" or (of.category and rating(at).voltage is not None)
        if v.low is None or not complete or (lightly and of.category == "AC-4"):
            continue
        needs[at] = load or fact(v.low, "plate: what the old part is rated for", v.source)
        if asked.inching(place.duty) and of.category in ("AC-3", "normal"):
            needs[qualifier("AC-4", of.voltage or volts)] = needs[at]
    return needs


def _supply(place: Place) -> Iterator[Rule | None]:
    yield at_least(place, "voltage", term="supply_voltage" if _supply_volts(place) else "")
    phases, poles = place.term("phases"), place.plate("poles")
    needed = 0.0 if phases is None else 3.0 if phases.number == 3 else 2.0
    counted = place.was.num("poles")
    yield at_least(place, "poles", want=phases.to(needed) if phases and needed >= (counted or 0.0) else poles)


def _coil(place: Place) -> Iterator[Rule | None]:
    volts, of_coil = place.wanted("coil_voltage", "control_voltage"), ("coil_voltage",)
    if volts is None:
        yield unknown(place, "coil_voltage")
    chatters = "it won't pull in cleanly: it chatters and its contacts weld"
    yield at_most(place, "coil_pull_in", "function", chatters, want=volts, reach=ANY, covers=of_coil)
    yield at_least(
        place, "coil_highest", "safety", "the coil overheats and burns", want=volts, reach=ANY, covers=of_coil
    )
    kind = place.wanted("coil_kind", "control_kind")
    on_dc = kind is not None and kind.code == "DC"
    breach = (
        "an AC coil on DC draws many times its current and burns"
        if on_dc
        else "a DC coil on AC hums, chatters and burns: it needs a rectifier, or another contactor"
    )
    # an AC coil can be run on DC with an economy resistor; a DC coil has a solid core and no shading ring
    good = tuple(dict.fromkeys((kind.code or "", "AC/DC"))) if kind else ()
    yield one_of(place, "coil_kind", "safety", breach, good, want=kind, reach=ANY if on_dc else None)
    if on_dc:
        yield moot("its coil is for direct current", "coil_frequency")
        return
    hertz = control_frequency(place.duty)
    marked = (
        place.plate("coil_frequency") if hertz is None else fact(f"{hertz:g}", "duty: frequency", PRACTICE)
    )
    either = tuple(dict.fromkeys((marked.code or "", "50/60"))) if marked else ()
    yield one_of(place, "coil_frequency", codes=either, want=marked, reach=ANY)
