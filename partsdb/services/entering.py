"""What a person enters by hand: parts, machines, positions, the shop. Text in, records out; nothing is stored here."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, time
from decimal import Decimal
from functools import lru_cache
from uuid import uuid4
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from partsdb.errors import BadInput
from partsdb.family import Family, families, family_named
from partsdb.guard import clean
from partsdb.model import Given, Hypothesis, Spec
from partsdb.reading import identify, read
from partsdb.reading.agreed import agreed
from partsdb.reading.settings import setting
from partsdb.records import BREAK, CONDITIONS, UNITS, Calendar, Hours, Part, Shop, Units
from partsdb.weekdays import weekdays

# Below this the printed text leaves it open what the part is, and the person must say more. Judgement.
SURE = 0.8
# A short mark ("B65") leaves much to "something else", but is read when nothing comes near it. Judgement.
CLEAR, TIMES = 0.3, 10.0
LONGEST_NAME = 80
MOST = 1_000_000  # pieces of one part on a shelf: more is a slip of the finger


def part_from_text(
    texts: Sequence[str],
    *,
    kind: str = "",
    settings: Sequence[str] = (),
    quantity: int = 1,
    condition: str = "unknown",
    tested_on: date | None = None,
    place: str = "",
    designation: str = "",
    maker: str = "",
    units: Units = "metric",
) -> Part:
    """A shelf part from what is printed on it and from "attribute=value" settings.

    The printed text is read like any plate; what is set by hand wins. Words of damage on it make it suspect; what may
    change what it is and isn't understood is kept as unread (`odd_on`). units: what the shop works in. Raises
    BadInput when neither says enough, when the text leaves it open what the part is or is read in part only and nothing
    is set by hand, or the condition isn't one of CONDITIONS.
    """
    if condition not in CONDITIONS:
        raise BadInput(f"{condition!r} is not a condition", f"It is one of: {', '.join(CONDITIONS)}")
    if not 0 <= quantity <= MOST:
        raise BadInput(f"{quantity} pieces", f"Give a number from 0 to {MOST:,}")
    read = _printed(tuple(texts), kind) if texts else None
    spec = read.spec if read else Spec(_named(kind).name)
    family = families(units)[spec.family]
    values = tuple(setting(text, family) for text in settings)
    spec = spec.without(*{v.attribute for v in values}).plus(values)
    if read and not settings:
        _whole(read)
    odd = odd_on(read)
    if any(one.damaged for one in odd):
        condition = "suspect"
    if not _says_which(family, spec):
        raise BadInput(
            f"nothing says the {family.main_called} of the {family.title}",
            f"Give more of what is printed on it, or --set {family.main[0]}=..."
            if family.main
            else "Give more of it",
        )
    return Part(
        id=str(uuid4()),
        family=family.name,
        spec=spec,
        designation=designation,
        maker=maker,
        title=family.title_of(family.complete(spec)),
        quantity=quantity,
        condition=next(c for c in CONDITIONS if c == condition),
        tested_on=tested_on,
        place=place,
        source="entered by hand",
        unread=BREAK.join(one.text for one in odd) or None,
    )


def _says_which(family: Family, spec: Spec) -> bool:
    """Whether anything is known that tells one part of the kind from another."""
    full = family.complete(spec)
    return any(full.has(name) for name in family.main) if family.main else bool(spec.values)


def odd_on(read: Hypothesis | None) -> tuple[Given, ...]:
    """What stands on a part and tells of damage, or may make it another part than what was read of it."""
    found = (one for one in read.account if one.ask and not one.misread) if read else ()
    return tuple(dict.fromkeys(found))


def odd_in(texts: Sequence[str], kind: str = "") -> tuple[Given, ...]:
    """The same of what is printed on it. Raises BadInput as `part_from_text` does."""
    return odd_on(_printed(tuple(texts), kind) if texts else None)


def _whole(read: Hypothesis) -> None:
    """Raises BadInput where a piece was read in part, changed, or taken for what nothing beside it says: what is stored
    must be what is printed."""
    for one in read.account:
        if one.misread:
            raise BadInput(
                f"{one.text!r} isn't surely read: {one.says}",
                "Give its values with --set attribute=value, or leave that piece out",
            )


def _named(kind: str) -> Family:
    if not kind:
        raise BadInput("say what kind of part it is", f"--kind takes: {', '.join(families())}")
    return family_named(kind)


@lru_cache(maxsize=64)
def _printed(texts: tuple[str, ...], kind: str) -> Hypothesis:
    """What is surely read of the printed text. Raises BadInput where it leaves it open what the part is."""
    every: Mapping[str, Family] = families()
    if kind:
        every = {_named(kind).name: _named(kind)}
    found = identify(read(texts), every)
    own = [h for h in found.hypotheses if found.best and h.spec.family == found.best.spec.family]
    alike = sum(h.probability for h in own)
    rival = max((h.probability for h in found.hypotheses if h not in own), default=0.0)
    sure = agreed(own, SURE) if own else None
    if sure is None or (alike < SURE and alike < max(CLEAR, TIMES * rival)) or _open_which(own[0], sure):
        raise BadInput(
            f"{' / '.join(texts)!r} doesn't say surely what the part is",
            "Add more of what is printed on it, or --set attribute=value" + ("" if kind else ", or --kind"),
        )
    return sure


def _open_which(likeliest: Hypothesis, sure: Hypothesis) -> bool:
    """Whether the readings part in what tells one part of the kind from another."""
    main = families()[sure.spec.family].main
    return any(likeliest.relied_on.has(name) and not sure.spec.has(name) for name in main)


def shop_from(
    name: str,
    *,
    zone: str,
    country: str,
    region: str = "",
    hours: str = "mon-fri 08:00-16:30",
    goods_in: str = "",
    currency: str = "GBP",
    fitters: int = 1,
    closures: Sequence[date] = (),
    units: str = "metric",
    supply: tuple[float | None, float | None, int | None] = (None, None, None),
) -> Shop:
    """The shop as it is set once. hours, goods_in: "mon-thu 08:00-16:30, fri 08:00-13:00". Raises BadInput."""
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError) as fault:
        raise BadInput(f"{zone!r} is not a time zone", "Write it like Europe/London") from fault
    if not 1 <= fitters <= 100:
        raise BadInput(f"{fitters} fitters", "Give a number from 1 to 100")
    _check_codes(country, currency)
    _check_supply(*supply)
    open_hours = hours_from(hours)
    calendar = Calendar(
        zone, country.upper(), region.upper(), tuple(h.weekday for h in open_hours), tuple(closures)
    )
    received = hours_from(goods_in) if goods_in else open_hours
    title = name_from(name, "a shop")
    shop = Shop(title, calendar, open_hours, received, currency.upper(), fitters, *supply)
    return replace(shop, units=_units(units))


def _units(text: str) -> Units:
    for known in UNITS:
        if text.strip().casefold() == known:
            return known
    raise BadInput(f"{text!r} are no units this program can show", f"Choose one of: {', '.join(UNITS)}")


_SHOP_FIELDS = {
    "name": "name",
    "currency": "currency",
    "fitters": "fitters",
    "supply": "supply_voltage",
    "hertz": "supply_frequency",
    "phases": "supply_phases",
    "labour": "labour_hour",
    "units": "units",
    "hours": "hours",
    "goods_in": "goods_in",
}


def changed_shop(before: Shop, said: Shop, given: Collection[str]) -> Shop:
    """The shop with what was given now; the rest stays. `given`: what was named, as the command names it.

    A rate is added to those known. Rates and labour in another currency than the new one are forgotten.
    """
    after = replace(
        before, **{field: getattr(said, field) for n, field in _SHOP_FIELDS.items() if n in given}
    )
    calendar = replace(
        before.calendar,
        weekdays=(said if "hours" in given else before).calendar.weekdays,
        zone=(said if "zone" in given else before).calendar.zone,
        country=(said if "country" in given else before).calendar.country,
        # a region belongs to its country
        region=(said if {"region", "country"} & set(given) else before).calendar.region,
    )
    after = replace(after, calendar=calendar)
    if "hours" in given and "goods_in" not in given and before.goods_in == before.hours:
        after = replace(after, goods_in=said.hours)
    if after.currency != before.currency:
        return replace(after, rates=said.rates, labour_hour=said.labour_hour)
    return replace(after, rates={**before.rates, **said.rates})


def _check_codes(country: str, currency: str) -> None:
    if not re.fullmatch(r"[A-Za-z]{2}", country):
        raise BadInput(f"{country!r} is not a country code", "Write it like GB")
    if not re.fullmatch(r"[A-Za-z]{3}", currency):
        raise BadInput(f"{currency!r} is not a currency code", "Write it like GBP")


def _check_supply(volts: float | None, hertz: float | None, phases: int | None) -> None:
    """A supply that is stated is one that can be: no 0 V, no 7 phases."""
    for number, what in ((volts, "0 V"), (hertz, "0 Hz")):
        if number is not None and number <= 0:
            raise BadInput(f"{what} is no supply", "Leave it out when it isn't known")
    if phases not in (None, 1, 2, 3):
        raise BadInput(f"{phases} phases", "Give 1, 2 or 3")


def hours_from(text: str) -> tuple[Hours, ...]:
    """Weekly hours from "mon-fri 08:00-16:30, sat 08:00-12:00". Raises BadInput."""
    found: dict[int, Hours] = {}
    for part in text.split(","):
        try:
            named, span = part.split()
            opens, closes = (time.fromisoformat(t) for t in span.split("-"))
        except ValueError:
            named = ""
        days = weekdays(named)
        if days is None:
            raise BadInput(f"{part.strip()!r} are not weekly hours", "Write mon-fri 08:00-16:30")
        if opens >= closes:
            raise BadInput(f"{part.strip()!r} ends before it begins", "Write mon-fri 08:00-16:30")
        found |= {day: Hours(day, opens, closes) for day in days}
    return tuple(found[day] for day in sorted(found))


def name_from(text: str, what: str) -> str:
    """What somebody calls a machine or a place, without blanks round it. Raises BadInput."""
    name = clean(text).strip()
    if not 0 < len(name) <= LONGEST_NAME:
        raise BadInput(f"{what} needs a name of 1 to {LONGEST_NAME} characters")
    return name


def rates_from(texts: Sequence[str]) -> dict[str, Decimal]:
    """Rates of exchange from "EUR=0.86". Raises BadInput for one that no money has."""
    rates = {}
    for text in texts:
        code, _, number = text.partition("=")
        try:
            rate = Decimal(number)
        except ArithmeticError:
            rate = Decimal("NaN")
        if not re.fullmatch(r"\s*[A-Za-z]{3}\s*", code) or not (
            rate.is_finite() and Decimal("1e-6") <= rate <= Decimal("1e6")
        ):
            raise BadInput(f"{text!r} is not a rate of exchange", "Write it like EUR=0.86")
        rates[code.strip().upper()] = rate
    return rates


def year_from(year: int | None) -> int | None:
    """The year a machine was built, when it can be one. Raises BadInput."""
    if year is not None and not 1750 <= year <= 2200:
        raise BadInput(f"{year} is no year a machine was built in", "Leave it out when it isn't known")
    return year


def tested(part: Part, condition: str, now: datetime) -> tuple[Part, tuple[str, ...]]:
    """The part with its condition after a test, and the pass test of its kind. Raises BadInput."""
    if condition not in CONDITIONS:
        raise BadInput(f"{condition!r} is not a condition", f"It is one of: {', '.join(CONDITIONS)}")
    family = families()[part.family]
    known = next(c for c in CONDITIONS if c == condition)
    done = replace(part, condition=known, tested_on=now.date())
    return done, family.shelf_test(family.complete(part.spec), {})
