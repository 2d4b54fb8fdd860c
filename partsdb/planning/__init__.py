"""Planning: which options to take for each need, so that the job goes out in time at the least cost.

    ways         verdicts and offers -> needs and the options to them
    problem      what is asked                      planner    Problem -> Plan
    calendars    real days and hours                sequence   the order of fitting
    leadtimes    how late suppliers really are      arrivals   when each option is in, over shared states
    factors      probability tables                 columns    what may be picked for a need: options and hedges
    milp         the choice as a mixed-integer problem
    listing      every plan that bounds can't rule out, so that a small problem's best is proved
    search       exact figures for any choice       greedy     the best rule by hand
    solve        the best choice, and how far it is proved
    frontier     what more money buys               simulate   the second opinion
    lines        what to order by which hour        rivals     other ways of choosing
    triggers     what to do when something is late  advice     whom to ring first, what more money buys
    replan       the same with orders already placed

Pure: the clock is `Problem.now`, randomness comes from `seed`. May import results, records, model and below; never a
family, never another stage.
"""

from partsdb.planning.planner import plan
from partsdb.planning.problem import Placed, Problem
from partsdb.planning.replan import NOTHING, Replanned, replan

__all__ = ["NOTHING", "Placed", "Problem", "Replanned", "plan", "replan"]
