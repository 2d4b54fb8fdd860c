"""partsdb: from half a nameplate to a part that fits and an order that meets the job's deadline.

Layers, each importing only from those above it (import-linter proves it on the installed wheel):

    errors  source  intervals  money  guard   what everything else is made of
    quantities  ladders  tables               units as plates write them; ordered classes; standards' tables
    duty  model  records                      the immutable values that pass between stages, and what is stored
    lineage  succession                       which number came after which, and what else a part is called
    disagreement  validity                    which source is believed; how long an offer is good for
    physics  family  kit                      shared formulas; what a family may say, and what it is written with
    families/*                                one folder a kind of part; never import each other
    results  spoken                           what services hand on; a value as it is spoken
    reading | equivalence | planning          the three pure stages; never import each other or a member of families
    store | importers                         the edges: SQL, files, HTTP
    services | outputs                        use cases, the only place that joins core, store and clock; text and JSON
                                              from results. Neither knows the other, outputs know no store
    cli                                       parse, call a service, print an output

A stage takes immutable values and returns immutable values. Clock, randomness, environment, network, SQL and
terminal stay at the edge: `now`, `seed` and `on_progress` are arguments.
"""
