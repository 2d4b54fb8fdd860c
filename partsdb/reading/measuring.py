"""What a person measured, typed as "outside 52.0 mm ±0.05", as numbers the core can weigh."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence

from partsdb.attributes import Attribute
from partsdb.duty import Term
from partsdb.errors import BadInput
from partsdb.family import Family, Measurement, families, vocabulary
from partsdb.model import Measured
from partsdb.quantities import Quantity, parse, parse_number, unit
from partsdb.records import Units
from partsdb.spelling import meant

SAID_SO = re.compile(r"^\s*(measured|meter|meas)\b[:\s]*", re.IGNORECASE)
_NAMED = re.compile(r"^\s*(?P<name>[A-Za-z][A-Za-z _-]*?)\s*[=: ]\s*(?P<rest>[-+±]?[\d.].*)$")


def measured(texts: Sequence[str], among: Mapping[str, Family]) -> tuple[Measured, ...]:
    """Each text as a Measured: "outside 52 mm", "bore=25.0mm ±0.02", "16.9 µF".

    Without a ± the accuracy is that of the tool the family names for it. Raises BadInput when the name or
    unit belongs to no attribute that can be measured, or to several.
    """
    return tuple(_one(text, among) for text in texts)


def _one(text: str, families: Mapping[str, Family]) -> Measured:
    text = SAID_SO.sub("", text)
    found = _NAMED.match(text)
    name, rest = (found["name"].strip(), found["rest"]) if found else ("", text)
    quantity = None if _bare(rest) else parse(rest)[0]
    fitting = [
        (attribute, measurement)
        for attribute, measurement in _measurable(families)
        if attribute.unit is not None
        and _called(attribute, name)
        and (quantity is None or _dimension(attribute.unit) == quantity.dimension)
    ]
    exact = [pair for pair in fitting if pair[0].name == name.lower().replace(" ", "_")]
    fitting = exact or fitting
    if not name:  # a bare number is meant for what the part is, not for what follows from it
        fitting = [pair for pair in fitting if pair[0].identity] or fitting
    names = sorted({attribute.name for attribute, _ in fitting})
    if not names:
        guess = meant(name, measurable_names(families)) if name else ""
        raise BadInput(f"nothing that can be measured is called {text!r}", guess + _known(families))
    if len(names) > 1:
        raise BadInput(f"{text!r} could be {', '.join(names)}", f'Name it: "{names[0]} {rest.strip()}"')
    attribute, tool = fitting[0]
    quantity = quantity_in(rest, attribute.unit or "", attribute.beside)
    if quantity.low is None or quantity.high is None:
        raise BadInput(f"{text!r} has no number", "Write it like: outside 52.0 mm")
    value = (quantity.low + quantity.high) / 2
    stated = max(quantity.plus or 0.0, quantity.minus or 0.0) * abs(value)
    spread = (quantity.high - quantity.low) / 2 or stated
    # a stated ± is taken as two standard deviations
    sd = spread / 2 if spread else tool.sd_abs + tool.sd_rel * abs(value)
    return Measured(attribute.name, value, sd, tool.tool, text.strip())


def quantity_in(text: str, symbol: str, beside: str = "") -> Quantity:
    """The first quantity in the text; a bare number is meant in the unit `symbol` ("" = a pure number).

    beside: a second unit in use, so that a bare number may be either: it is refused, as a wrong guess would cut a
    part to the wrong size. Raises BadInput.

    >>> quantity_in("440", "V") == quantity_in("440 V", "V")
    True
    >>> quantity_in("440", "V").low
    440.0
    """
    if not symbol:
        number = parse_number(text)
        return Quantity(number, number, "", "")
    if beside and _bare(text):
        raise BadInput(
            f"{text.strip()!r} may be {symbol} or {beside}", f"Name the unit: {text.strip()} {symbol}"
        )
    return parse(f"{text} {symbol}" if _bare(text) else text, unit(symbol).dimension)[0]


def _bare(text: str) -> bool:
    """Whether a text names no unit."""
    return not re.search(r"[^\W\d_]|[%°Ω~\"″]", text.replace("±", ""))


def _measurable(families: Mapping[str, Family]) -> Iterator[tuple[Attribute, Measurement]]:
    for family in families.values():
        names, terms = {a.name for a in family.attributes}, vocabulary((family,))
        for measurement in family.measurements:
            name = measurement.attribute
            yield family.attribute(name) if name in names else _as_attribute(terms[name]), measurement


def _as_attribute(term: Term) -> Attribute:
    return Attribute(term.name, term.title, term.unit)


def apart(
    taken: Sequence[Measured], families: Mapping[str, Family]
) -> tuple[tuple[Measured, ...], dict[str, float]]:
    """Measurements of the part, and those of its place: what was measured there is what the place asks.

    Raises BadInput for what no place can ask.
    """
    names = {a.name for family in families.values() for a in family.attributes}
    terms = vocabulary(families.values())
    for m in taken:
        if m.attribute not in names:
            terms[m.attribute].possible(m.value)
    of_part = tuple(m for m in taken if m.attribute in names)
    return of_part, {m.attribute: m.value for m in taken if m.attribute not in names}


def measurable_names(families: Mapping[str, Family]) -> frozenset[str]:
    """What everything that can be measured is called, by name and title, in lower case."""
    return frozenset(
        word
        for attribute, _ in _measurable(families)
        for word in (attribute.name.replace("_", " "), attribute.title.casefold())
    )


def _called(attribute: Attribute, name: str) -> bool:
    plain = name.lower().replace("_", " ").replace("-", " ").strip()
    return not plain or plain in (
        attribute.name.replace("_", " "),
        attribute.title.lower(),
        *(h.replace("_", " ") for h in attribute.header),
    )


def _dimension(symbol: str) -> str:
    return unit(symbol).dimension if symbol else ""


def _known(families: Mapping[str, Family]) -> str:
    names = sorted({attribute.name for attribute, _ in _measurable(families)})
    return f"It can be: {', '.join(names)}"


def duty_from(texts: Sequence[str], units: Units = "metric") -> dict[str, float | str]:
    """Duty terms typed as "supply_voltage=415 V" or "starting=inched or reversed".

    units: what the shop works in; in inches a number that may be either needs its unit.
    Raises BadInput for a term, unit or word the vocabulary doesn't have.
    """
    result: dict[str, float | str] = {}
    terms = vocabulary(families().values())
    for text in texts:
        name, equals, rest = text.partition("=")
        term = terms.get(name.strip().replace(" ", "_").replace("-", "_"))
        if not equals or term is None:
            guess = meant(name.strip(), terms) if equals else ""
            raise BadInput(
                f"{text!r} is not a duty", f"{guess}Write term=value; see `partsdb words duty` for the terms"
            )
        result[term.name] = _duty_value(term, rest.strip(), units)
    return result


def _duty_value(term: Term, text: str, units: Units) -> float | str:
    if term.codes:
        return _one_of(term, text)
    beside = unit(term.unit).beside if term.unit and units == "inch" else ""
    value = quantity_in(text, term.unit, beside).low
    if value is None:
        raise BadInput(
            f"{text!r} is not a number", f"{term.title} takes a number in {term.unit or 'plain units'}"
        )
    return term.possible(value)


def _one_of(term: Term, text: str) -> str:
    wanted = text.lower()
    hits = [code for code in term.codes if code.lower() == wanted]
    hits = hits or [code for code in term.codes if code.lower().startswith(wanted) and wanted]
    if len(hits) != 1:
        raise BadInput(f"{term.title} can't be {text!r}", f"It takes {' / '.join(term.codes)}")
    return hits[0]


def supply_on_plate(text: str) -> tuple[float | None, float | None]:
    """Volts and hertz from a machine's own plate: "440 V 60 Hz". Raises BadInput when it says neither."""
    if not text.strip():
        return None, None
    found: dict[str, float] = {}
    for piece in re.findall(r"[\d.,/]+\s*[A-Za-z~]+", text):
        quantity = parse(piece)[0]
        if quantity.low is not None and quantity.dimension in ("voltage", "frequency"):
            found.setdefault(quantity.dimension, quantity.low)
    if not found:
        raise BadInput(f"{text!r} says no supply", "Write it like: 440 V 60 Hz")
    return found.get("voltage"), found.get("frequency")
