"""What satisfies a place: from weighted readings to verdicts, margins and cautions. Pure; knows no family by name.

    envelope   identification and duty -> weighted requirements; a place made ready to judge many parts
    checks     one limit against one specification: pass, breach, unknown, what is to spare
    wording    the sentence of a check, in a fitter's words
    ruling     the checks of one reading -> what they allow
    overall    what each reading allows -> one verdict over all of them
    judge      one part over all readings -> Verdict; the part in place under a changed duty
    ranking    the order of verdicts
    columns    many parts as numpy arrays; which rows a limit proves wrong
    shortlist  the few of many that may do; judged and ranked
    combine    several shelf parts acting as one: search over candidates, sums over sizes, whole judges them
    cautions   which hazards apply        causes   one cause behind several faults

May import model, family, duty, quantities, intervals, source; never reading, planning or a family.
"""

from .causes import SharedCause, causes
from .cautions import cautions
from .columns import Columns, columns_of
from .combine import combinations
from .envelope import demands, requirements
from .judge import in_place, judge
from .overall import RULED_OUT
from .ranking import ranked
from .shortlist import equivalents, shortlist
from .wording import blocking, open_lines

__all__ = [
    "RULED_OUT",
    "Columns",
    "SharedCause",
    "blocking",
    "causes",
    "cautions",
    "columns_of",
    "combinations",
    "demands",
    "equivalents",
    "in_place",
    "judge",
    "open_lines",
    "ranked",
    "requirements",
    "shortlist",
]
