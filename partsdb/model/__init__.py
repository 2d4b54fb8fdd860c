"""The immutable values that pass between the stages.

    Reading --identify--> Identification --require--> Requirement --judge--> Verdict
            --options--> Need, Option --plan--> Plan

Numbers are floats in SI units unless a field's name carries another unit; probabilities are 0..1;
None means unknown, never zero and never favourable.
"""

from partsdb.model.identification import (
    Context,
    Evidence,
    Fragment,
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
    Kind,
    Life,
    Limit,
    Outcome,
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
    "Fragment",
    "FrontierPoint",
    "Glyph",
    "Hypothesis",
    "Identification",
    "Kind",
    "KnownPart",
    "Life",
    "Limit",
    "Line",
    "Marginal",
    "Measured",
    "Need",
    "Observation",
    "Option",
    "OrderLine",
    "Outcome",
    "Plan",
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
