"""The immutable values that pass between the stages.

    Reading --identify--> Identification --require--> Requirement --judge--> Verdict
            --options--> Need, Option --plan--> Plan

    specification    what is known of a part: values with their sources
    identification   what was seen on a part, and what it may have been
    verdicts         what a place asks, and what may be done with a part there
    plans            what is needed, the ways to it, and the plan

Numbers are floats in SI units unless a field's name carries another unit; probabilities are 0..1;
None means unknown, never zero and never favourable. May import source, intervals, money, duty, quantities and below.
"""

from partsdb.model.identification import (
    Context,
    Evidence,
    Faith,
    Fragment,
    Given,
    Glyph,
    Hypothesis,
    Identification,
    KnownPart,
    Marginal,
    Measured,
    Observation,
    Reading,
)
from partsdb.model.plans import (
    Call,
    FrontierPoint,
    Line,
    Need,
    Option,
    OrderLine,
    Plan,
    Rival,
    Trigger,
    WayKind,
    WayOut,
)
from partsdb.model.specification import (
    Spec,
    Value,
    number,
    span,
    word,
)
from partsdb.model.verdicts import (
    OUTCOMES,
    Caution,
    Change,
    Check,
    Life,
    Limit,
    LimitKind,
    Moot,
    Outcome,
    Question,
    Requirement,
    Status,
    Verdict,
    Weight,
)

__all__ = [
    "OUTCOMES",
    "Call",
    "Caution",
    "Change",
    "Check",
    "Context",
    "Evidence",
    "Faith",
    "Fragment",
    "FrontierPoint",
    "Given",
    "Glyph",
    "Hypothesis",
    "Identification",
    "KnownPart",
    "Life",
    "Limit",
    "LimitKind",
    "Line",
    "Marginal",
    "Measured",
    "Moot",
    "Need",
    "Observation",
    "Option",
    "OrderLine",
    "Outcome",
    "Plan",
    "Question",
    "Reading",
    "Requirement",
    "Rival",
    "Spec",
    "Status",
    "Trigger",
    "Value",
    "Verdict",
    "WayKind",
    "WayOut",
    "Weight",
    "number",
    "span",
    "word",
]
