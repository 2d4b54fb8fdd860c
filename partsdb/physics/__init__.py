"""Formulas that families share, each with its source, units in brackets, and a doctest. Pure functions on numbers.

    rules        a table of rules as numbers with where each comes from
    coils        the control voltages on which a coil surely works
    loads        what a duty says of the load that a switch, a fuse or a cable carries
    motors       volts per hertz, and the current a motor of some power draws
    utilization  what a switching rating answers for

May import tables, source, quantities, intervals, model, place and below; never a family.
"""
