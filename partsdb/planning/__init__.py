"""Planning: which options to take for each need, so that the job goes out in time at the least cost.

    problem      what is asked                      calendars, sequence    real days and hours; order of fitting
    leadtimes    how late suppliers really are      arrivals, factors      probability tables over shared states
    columns      single options and hedges          milp, listing, search, greedy, solve, frontier  the choice, proved
    simulate     the second opinion                 lines, rivals, triggers, advice  what a person needs to act
    planner      Problem -> Plan                    replan                 the same with orders already placed

Pure: the clock is `Problem.now`, randomness comes from `seed`.
"""

from partsdb.planning.planner import plan
from partsdb.planning.problem import Placed, Problem, for_job
from partsdb.planning.replan import Replanned, replan

__all__ = ["Placed", "Problem", "Replanned", "for_job", "plan", "replan"]
