"""Results as text for a narrow screen, and as JSON. No I/O: every function returns lines or plain data.

    words        one limit, time or amount in the words a fitter uses; wrapping
    finding      what it is, what will do instead   report       all of one failure as a page; the four lines
    ordering     the plan: what to order, from whom, by which hour
    lists        what is on record                  sources      what sources say; the history of a number
    safekeeping  what was backed up and checked     vocabulary   the words the program knows
    demo         the demo's scenes                  plain        the same results as JSON-ready data

May import the stages, results, records, model and below; no store, no importer, no service.
"""
