"""Rolling bearings: ball and roller bearings with a basic designation or an inch number.

How they read: figures on the ring, "6206-2Z/C3" = type and series 62, bore code 06 (times five: 30 mm), shields,
clearance; letters before (NU 2 06) or alone on old inch bearings (LJ 1, RLS 8). No clearance mark means normal.
Other countries' numbers look alike and are not: by GOST 3189 a 7205 is a taper bearing (30205), here an angular
contact ball bearing, so the rings are measured whatever the number says.
What kills them: dirt and water past a seal, too little or too much grease, a belt too tight, a ring creeping on a
worn seat, current through the balls; seldom age. The rings don't wear in size unless they spun: measure the
journal and the housing as well.

Sources: ISO 15, ISO 355, ISO 104 (sizes), DIN 623-1 (designations), ISO 281 (life), ISO 5753-1 (clearance),
ISO 286-2 (seats); each with its status in the tables beside this file. No pair of single-row bearings is as narrow
as the double row it would stand for (tests/families prove it over the tables), so there are no combinations.
"""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.duty import Duty
from partsdb.duty import number as asked
from partsdb.families.rolling_bearing import cures, figures, limits
from partsdb.families.rolling_bearing.designations import DIMENSIONS, MM, size_of, sizes, type_of
from partsdb.families.rolling_bearing.figures import ISO_281, load_on
from partsdb.family import Row
from partsdb.kit import family
from partsdb.model import Life, Spec, Value, number, word
from partsdb.quantities import show
from partsdb.source import Source

STRAIGHT = Source("no K in the designation (DIN 623-1)", "stated")
USUAL_ANGLE = Source("no letter of a contact angle in the designation", "common practice")


def derive(spec: Spec) -> Iterator[Value]:
    """Type and boundary dimensions from series and bore code; what a designation without a mark says: a straight
    bore, and 30 degrees of an angular contact bearing."""
    size = size_of(spec.code("series"), spec.code("bore_code"))
    if size is not None:
        yield word("type", size.type, size.type_source)
        yield from (number(name, getattr(size, name), size.source) for name in DIMENSIONS)
        yield word("bore_shape", "cylindrical", STRAIGHT)
        if size.type == "angular contact ball":
            yield word("contact_angle", "30°", USUAL_ANGLE)


def life(spec: Spec, duty: Duty) -> Life:
    """Basic rating life of ISO 281 at the duty: nine of ten reach the low figure, half of them the middle one."""
    kind, rating = type_of(spec), spec.num("dynamic_rating")
    load, speed = load_on(spec, duty), asked(duty, "shaft_speed")
    if kind is None or not rating or not load or not speed:
        return Life(None, None, None, ISO_281, "needs the dynamic rating, the loads and the speed")
    hours = figures.life_hours(rating, load, kind.exponent, speed)
    text = (
        f"L10h = (C/P)^{kind.exponent:.3g} = ({show(rating, 'kN')} / {show(load, 'kN')})^{kind.exponent:.3g} at "
        f"{show(speed, 'rpm')}: {hours:,.0f} h; clean, well greased and rightly fitted"
    )
    return Life(hours, figures.median_life(hours), None, ISO_281, text)


def title_of(spec: Spec) -> str:
    """ "6206-2Z/C3 deep groove ball bearing 30 × 62 × 16 mm"."""
    series, code = spec.code("series") or "", spec.code("bore_code") or ""
    designation = f"{series}{' ' if series[-1:].isalpha() else ''}{code}"
    if (closure := spec.code("closure")) not in (None, "open"):
        designation += f"-{closure}"
    marks = (spec.code("bore_shape"), spec.code("clearance"))
    if designation.strip():
        designation = "/".join([designation, *(m for m in marks if m not in (None, "cylindrical", "CN"))])
    kind = type_of(spec)
    size = [spec.num(name) for name in DIMENSIONS]
    across = " × ".join(f"{x / MM:g}" for x in size if x is not None)
    parts = (designation.strip(), kind.title if kind else "bearing", f"{across} mm" if all(size) else "")
    return " ".join(part for part in parts if part)


# every basic designation, with its type and boundary dimensions
ROWS = [Row((s.series, s.bore_code, s.type, s.bore, s.outside, s.width), s.weight) for s in sizes()]

FAMILY = family(
    __name__,
    require=limits.require,
    title_of=title_of,
    figures=figures.figures,
    rows={"designation": ROWS},
    derive=derive,
    cures=cures.cures,
    life=life,
)
