"""What was seen on a part, and what it may have been."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from partsdb.model.specification import Spec, Value
from partsdb.model.verdicts import Weight


@dataclass(frozen=True, slots=True)
class Glyph:
    """One place of a fragment: one known glyph ("8"), one of several ("38"), illegible (""), or a run of
    illegible glyphs of unknown length (run=True). `at` is its index in the fragment as typed."""

    chars: str
    at: int
    run: bool = False


@dataclass(frozen=True, slots=True)
class Fragment:
    """A legible piece of a plate: as typed, and as glyphs."""

    text: str
    glyphs: tuple[Glyph, ...]


@dataclass(frozen=True, slots=True)
class Measured:
    """A number read off an instrument [SI], with its standard deviation [SI]."""

    attribute: str
    value: float
    sd: float
    tool: str = "instrument"
    as_written: str = ""


@dataclass(frozen=True, slots=True)
class Context:
    """What is known around the plate; every field may be None."""

    family: str | None = None
    maker: str | None = None
    year: int | None = None
    country: str | None = None
    supply_voltage: float | None = None
    supply_frequency: float | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything seen and measured on one part."""

    fragments: tuple[Fragment, ...] = ()
    measurements: tuple[Measured, ...] = ()
    context: Context = Context()


@dataclass(frozen=True, slots=True)
class KnownPart:
    """A part in the records or a catalogue, as identification and judging see it.

    designation: its number as printed; aliases: other numbers it goes by; condition: new, used and tested,
    unknown, suspect ("" for a catalogue part); quantity: pieces on the shelf (0 for catalogue and offers); unread:
    pieces that stand on it or in its list's row and may make it another part, or tell of damage.
    """

    id: str
    spec: Spec
    designation: str = ""
    maker: str = ""
    aliases: tuple[str, ...] = ()
    title: str = ""
    condition: str = ""
    quantity: int = 0
    place: str = ""
    unread: tuple[str, ...] = ()


Faith = Literal["exact", "unstated", "changed", "contradicted"]
"""How faithful a value is to the legible glyphs it was read from (see `reading.legible`), or to what was measured."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """Why a value is believed: `where` is (fragment, start, end) as typed, or None when not on the plate.

    log_odds: how much the seen text favours the value over chance [nat]; note: what was assumed; faith: whether it
    says what is legible there, glyph for glyph.
    """

    attribute: str
    says: str
    where: tuple[int, int, int] | None
    log_odds: float
    note: str = ""
    faith: Faith = "exact"


RELIED = 0.9  # what was read is relied on where it is at least as sure as that [-]; judgement
Standing = Literal["used", "harmless", "not considered", "not understood"]


@dataclass(frozen=True, slots=True)
class Given:
    """A piece of what was typed, and what became of it under one reading.

    says: what it means, or was taken for, in words; ask: what to find out before anything replaces the part ("" where
    nothing hangs on it); weight: what hangs on it; damaged: it says what is wrong with this very piece; made_so: or
    that it is made so; misread: the reading takes it, or a part of it, for what doesn't stand there; measured: it
    was measured, not typed.
    """

    text: str
    standing: Standing
    says: str = ""
    ask: str = ""
    weight: Weight = "function"
    damaged: bool = False
    made_so: bool = False
    misread: bool = False
    measured: bool = False

    @property
    def about(self) -> str:
        """The piece as what a question is about."""
        return self.text if self.measured else f'"{self.text}" on it'


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One possible specification with its posterior probability; part_id when it is a known part; account: what became
    of each typed piece under it."""

    spec: Spec
    probability: float
    part_id: str | None = None
    evidence: tuple[Evidence, ...] = ()
    account: tuple[Given, ...] = ()

    @property
    def relied_on(self) -> Spec:
        """The specification without what is read by changing a legible glyph, or of a half-legible text that says other
        things nearly as well: no limit or caution rests on that."""
        changed = {e.attribute.split("#")[0] for e in self.evidence if e.faith == "changed"}
        plain = self.spec.without(*changed)
        return replace(
            plain, values=tuple(v for v in plain.values if not v.as_written or v.confidence >= RELIED)
        )


@dataclass(frozen=True, slots=True)
class Marginal:
    """What is believed of one attribute: (value, probability), best first; None stands for "not known"."""

    attribute: str
    outcomes: tuple[tuple[Value | None, float], ...]


@dataclass(frozen=True, slots=True)
class Observation:
    """A look or measurement worth making: expected information [bit], effort, and what it would mean.

    outcomes: (result in words, probability, what it then is).
    """

    attribute: str
    tool: str
    bits: float
    minutes: float
    caution: str
    outcomes: tuple[tuple[str, float, str], ...] = ()

    @property
    def rate(self) -> float:
        """Expected information per minute of effort [bit/min]."""
        return self.bits / max(self.minutes, 0.1)


@dataclass(frozen=True, slots=True)
class Identification:
    """The posterior: ranked hypotheses, the mass of "something else" (leftover), marginals, evidence.

    The hypotheses' probabilities, unlisted (other variants of the known kinds) and the leftover sum to one.
    by_plate: what the plate says without the records, but for a part whose number stands legibly on it: limits follow
    from these alone. families: (name, probability), best first.
    settled: no further observation can change what to do (set when a `decide` function was given).
    """

    reading: Reading
    hypotheses: tuple[Hypothesis, ...]
    leftover: float
    unlisted: float = 0.0
    by_plate: tuple[Hypothesis, ...] = ()
    families: tuple[tuple[str, float], ...] = ()
    marginals: tuple[Marginal, ...] = ()
    advice: tuple[Observation, ...] = ()
    settled: bool = False

    @property
    def unread(self) -> tuple[str, ...]:
        """What the most probable hypothesis doesn't understand, as typed; all of it where nothing fits."""
        if not self.hypotheses:
            return tuple(f.text for f in self.reading.fragments)
        return tuple(
            dict.fromkeys(g.text for g in self.hypotheses[0].account if g.standing == "not understood")
        )

    @property
    def best(self) -> Hypothesis | None:
        """The most probable hypothesis, or None when nothing fits."""
        return self.hypotheses[0] if self.hypotheses else None
