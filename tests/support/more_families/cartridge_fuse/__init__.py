"""Cartridge fuse links: a wire in sand or air that melts before the wiring does.

Plates read "gG 16 A 10x38 500 V AC 100 kA" (industrial) or "T2AL250V" (miniature: on its cap, run together, the speed,
amperes, the letter of what it breaks, volts). What kills them: a fault behind them, years of starts on too quick a
speed, loose clips that heat them. One voltage a link: of "500 V AC 250 V DC" type the one that feeds the place.
Sources: IEC 60269-2, IEC 60127, seen in independent texts and in makers' lists; each row of ratings.csv says which.
"""

from __future__ import annotations

from itertools import product

from partsdb.family import Row
from partsdb.kit import family
from partsdb.model import Spec, Value, number, word
from partsdb.source import Source
from partsdb.tables import load

from .limits import require

ROWS = load("ratings", __package__).rows
AMPERES = {row["title"]: float(row["code"]) for row in ROWS if row["attribute"] == "miniature"}
LETTERS = {row["code"]: row for row in ROWS if row["attribute"] == "capacity"}
CAPS = {"".join(cap): cap for cap in product(("FF", "F", "M", "T", "TT"), AMPERES, ("", *LETTERS))}
WEIGHTS = {row["code"]: float(row["weight"]) for row in ROWS if row["attribute"] == "speed"}
MARKING = Source(LETTERS["L"]["source"], "verified")


def follows(spec: Spec) -> tuple[Value, ...]:
    """What a miniature's cap says, and what it breaks [A] by its letter: a number or so many times its amperes."""
    speed, written, letter = CAPS.get(spec.code("cap") or "", ("", "", ""))
    amperes = spec.num("rated_current") or AMPERES.get(written, 0.0)
    said = (word("speed", speed, MARKING), number("rated_current", amperes, MARKING)) if speed else ()
    row = LETTERS.get(spec.code("capacity") or letter)
    if row is None:
        return said
    breaks = max(float(row["least"]), float(row["times"]) * amperes)
    return (*said, number("breaking", breaks, MARKING))


def title_of(spec: Spec) -> str:
    """ "16 A gG 10x38 500 V AC"; "2 A T 5x20 250 V"."""
    spec, shown = FAMILY.complete(spec), (("rated_current", "A"), ("voltage", "V"))
    amperes, volts = (f"{x:g} {unit}" if (x := spec.num(name)) else "" for name, unit in shown)
    said = (amperes, spec.code("speed"), spec.code("body"), volts, spec.code("current_kind"))
    return " ".join(filter(None, said)) or "fuse"


FAMILY = family(
    __name__,
    require=require,
    title_of=title_of,
    derive=follows,
    rows={"cap": [Row((code,), WEIGHTS[cap[0]]) for code, cap in CAPS.items()]},
)
