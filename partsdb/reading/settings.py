"""What a person says a part is, typed as "attribute=value"."""

from __future__ import annotations

from partsdb.attributes import Attribute
from partsdb.errors import BadInput
from partsdb.family import Family
from partsdb.model import Value
from partsdb.reading.measuring import quantity_in
from partsdb.source import said


def setting(text: str, family: Family) -> Value:
    """ "voltage_ac=440 V", "current@AC-3@400V = 45 A" or "service=run" as a Value. Raises BadInput."""
    name, equals, rest = text.partition("=")
    if not equals or not rest.strip():
        raise BadInput(f"{text!r} sets nothing", "Write attribute=value")
    bare, at, qualifier = name.strip().partition("@")
    attribute = _attribute(bare, family)
    if attribute.unit is None:
        return Value(
            attribute.name, code=_code(attribute, rest.strip()), source=said(), as_written=rest.strip()
        )
    found = quantity_in(rest.strip(), attribute.unit, attribute.beside)
    return Value(
        attribute.name,
        found.low,
        found.high,
        qualifier=qualifier if at else "",
        source=said(),
        as_written=rest.strip(),
    )


def _attribute(name: str, family: Family) -> Attribute:
    wanted = name.lower().replace(" ", "_").replace("-", "_")
    for attribute in family.attributes:
        called = {attribute.name, attribute.title.lower().replace(" ", "_"), *attribute.header}
        if wanted in called:
            return attribute
    return family.attribute(name)


def _code(attribute: Attribute, text: str) -> str:
    plain = text.lower()
    for code, title in attribute.codes.items():
        spellings = (s.lower() for s in attribute.spellings.get(code, ()))
        if plain in (code.lower(), title.lower(), *spellings):
            return code
    if not attribute.codes:
        return text
    raise BadInput(f"{attribute.title} can't be {text!r}", f"It is one of: {', '.join(attribute.codes)}")
