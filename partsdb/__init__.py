"""partsdb: from half a nameplate to a part that fits and an order that meets the job's deadline.

Layers, each importing only from those above it (import-linter proves it on the installed wheel):

    errors  source  intervals  money       what everything else is made of
    quantities  ladders  tables            units as plates write them; ordered classes; standards' tables
    duty  model  records                   the immutable values that pass between stages, and what is stored
    physics  family                        shared formulas; what a family may say
    families/*                             one file a kind of part; never import each other
    reading | equivalence | planning       the three pure stages; never import each other or a member of families
    outputs                                text, JSON and order documents from results; no I/O
    store  importers                       the edges: SQL, files, HTTP
    services                               use cases; the only place that joins core, store and clock
    cli                                    parse, call a service, print an output

A stage takes immutable values and returns immutable values. Clock, randomness, environment, network, SQL and
terminal stay at the edge: `now`, `seed` and `on_progress` are arguments.
"""
