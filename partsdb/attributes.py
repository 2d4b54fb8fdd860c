"""What a part has: its rated and dimensional properties, and what it means when nobody states one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from partsdb.model import Change, Weight
from partsdb.quantities import spoken
from partsdb.source import UNSTATED, Source

SilenceKind = Literal["asked", "taken", "no matter"]
LOOK = "on it or by looking"


@dataclass(frozen=True, slots=True)
class Silence:
    """What it means that nobody states an attribute of the old part. Said once, as data; the judge acts on it.

    asked: it decides, so it stays an open question until somebody looks; a known one must be the same unless the
    family says more exactly what it must be. weight: how much that hurts; why: what goes wrong.
    taken: the trade takes it as `value` [SI or code word] and says so, by `source`; only where a part that is
    otherwise says so on its plate, or where the value is the strict side. weight, why: as for asked.
    no matter: nothing hangs on it, and `why` is the reason.
    about, settled_by: for what the place tells better: what is asked then, and the duty term that answers.
    """

    kind: SilenceKind
    why: str
    weight: Weight = "function"
    value: float | str | None = None
    source: Source = UNSTATED
    ask: str = LOOK
    about: str = ""
    settled_by: str = ""

    def __post_init__(self) -> None:
        if self.kind not in get_args(SilenceKind) or self.weight not in get_args(Weight):
            raise ValueError(f"no silence is {self.kind!r} with weight {self.weight!r}")


def asked(weight: Weight, why: str, ask: str = LOOK, about: str = "", settled_by: str = "") -> Silence:
    """It decides: a question until somebody knows."""
    return Silence("asked", why, weight, ask=ask, about=about, settled_by=settled_by)


def taken(value: float | str, source: Source, weight: Weight, why: str) -> Silence:
    """Taken as this when nobody says otherwise, and said to be."""
    return Silence("taken", why, weight, value, source)


def no_matter(reason: str) -> Silence:
    """Nothing hangs on it."""
    return Silence("no matter", reason)


@dataclass(frozen=True, slots=True)
class Attribute:
    """One rated or dimensional property.

    unit: the unit it is shown in ("µF", "V", "mm"); "" for a pure number; None for a code word.
    silence: what it means that nobody states it; None is a fault that `kit.faults` reports.
    codes: allowed code words with their title ("run" -> "run, continuous"); spellings: how plates write a code
    word; rel_tol: what "equal" means for the number [-]; ladder: an ordered list of codes, worst first.
    identity: it says what the part is (two parts that differ in it are different specifications).
    header: column names under which lists carry it, lower case. cure: what a fitter does about another value;
    always_curable: about every value, so that silence doesn't stop the work: it is looked at and cured on the way.
    beside: the second unit a number is shown in,
    set by `families` for a shop that works in inches.
    """

    name: str
    title: str
    unit: str | None
    identity: bool = False
    rel_tol: float = 1e-6
    codes: Mapping[str, str] = field(default_factory=dict)
    spellings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    ladder: tuple[str, ...] = ()
    header: tuple[str, ...] = ()
    beside: str = ""
    silence: Silence | None = None
    cure: Change | None = None
    always_curable: bool = True

    @property
    def put_right(self) -> Change | None:
        """The cure, where it is one for every value."""
        return self.cure if self.always_curable else None

    def spoken(self, low: float | None, high: float | None) -> str:
        """A number or range of it as a person says it: "440 V", "18.8 to 21.2 µF", "at least 440 V"."""
        return spoken(low, high, self.unit or "", self.beside)

    def said(self, low: float | None, high: float | None, code: str | None) -> str:
        """A value of it as a person says it: "440 V", or the title of the code word."""
        return self.spoken(low, high) if code is None else self.codes.get(code, code)
