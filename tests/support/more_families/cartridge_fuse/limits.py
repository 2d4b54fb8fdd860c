"""What the place of a cartridge fuse asks of one: the same protection, and that it puts the arc out."""

from __future__ import annotations

from collections.abc import Iterator

from partsdb.family import Rule
from partsdb.kit import Place, at_least, at_most, one_of, same

SERVES = {
    "AC": ("AC", "AC/DC"),
    "DC": ("DC", "AC/DC"),
}  # a link for both serves either, a place of both only itself


def require(place: Place) -> Iterator[Rule | None]:
    """Amperes, speed and body the same; volts by the supply, else the old one's; it breaks what the place can feed."""
    yield at_least(place, "rated_current", "function", "it blows on its ordinary load")
    yield at_most(place, "rated_current", "safety", "more amperes protect nothing: the wiring burns first")
    yield same(place, "speed")
    yield same(place, "body")
    yield at_least(place, "voltage", term="supply_voltage")
    current = place.wanted("current_kind", "supply_kind")
    if current is not None and current.code is not None:
        yield one_of(place, "current_kind", codes=SERVES.get(current.code, (current.code,)), want=current)
    breach = "it bursts on a short circuit"
    yield at_least(place, "breaking", "safety", breach, want=place.term("fault_current"))
