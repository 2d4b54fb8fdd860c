"""What every family is written with: a family says what is peculiar to its kind of part, the kit the rest.

    rules      the constructors of limits and questions: same, at_least, at_most, within, spans, one_of, as_good_as,
               unknown
    coverage   `requirement`: a family's rules, and what silence and unstated duty make of what they don't mention
    data       attributes, fields and duty terms from family.toml
    prose      hazards, symptoms, suspects, measurements and lines from words.toml, with figures and conditions
    whole      `family`: the family of a folder
    checking   `checked`: every fault of a family at once

May import family and what stands below it; never a family of `families/`, never a stage.
"""

from partsdb.attributes import LOOK
from partsdb.kit.checking import checked, faults
from partsdb.kit.coverage import measured_with, quickest, requirement
from partsdb.kit.prose import Figures, holds
from partsdb.kit.rules import (
    ANY,
    as_good_as,
    at_least,
    at_most,
    moot,
    one_of,
    question,
    same,
    spans,
    unknown,
    within,
)
from partsdb.kit.whole import family
from partsdb.place import Fact, Place, fact

__all__ = [
    "ANY",
    "LOOK",
    "Fact",
    "Figures",
    "Place",
    "as_good_as",
    "at_least",
    "at_most",
    "checked",
    "fact",
    "family",
    "faults",
    "holds",
    "measured_with",
    "moot",
    "one_of",
    "question",
    "quickest",
    "requirement",
    "same",
    "spans",
    "unknown",
    "within",
]
