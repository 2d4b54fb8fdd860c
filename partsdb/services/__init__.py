"""Use cases, one function each: the only place that joins the core, the store and the clock.

    loading      the records, read once             entering     what a person enters by hand, as records
    inquiries    one failure: what it is, what it must withstand, what will do instead
    wanting      what a job waits for               orders       plans, orders placed, news about them
    keeping      what was decided for a machine, stand-ins, one cause behind several faults
    sources      what sources say of one part, settled; the history of a number
    arriving     a list from a file or an address   bringing     a list into the records
    safekeeping  backups, checks, everything out    answer       the short way: five questions, four lines
    demo         the invented scenario, played through the same services

May import everything but outputs and cli: results are handed on as values, and never laid out here.
"""
