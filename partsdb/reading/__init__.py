"""Plate text and measurements to weighted specifications.

What a person gives:
    fragments   the fragment grammar; `read`       describing  number and description of a list's row
    measuring   what was measured, and duty terms  settings    "attribute=value" as a value
    seeing      what is plainly seen: a fact that conditions an identification

What the decoder does with it:
    channel     the glyph channel: what is seen against what was written; the plate as one line of glyphs
    templates   the grammar of family.Writing      numerals    how plates write numbers
    lexicon     every text families can write, laid out once
    unlisted    legible numbers that no row has    rowsets     what a field's rows say taken together
    align       every text at every place at once  scoring     places per field
    options     priors, omission                   instruments what a measurement says
    beam        the joint search                   drafts      combinations as specifications with evidence
    known       the index of known parts           recall      their scores on one plate
    posterior   probabilities, leftover, marginals decode      `identify`
    advice      what to look at next

What became of all that was typed:
    pieces      a text in pieces, tables of words  labels      labels that explain a number away
    legible     whether a value stands there       account     the account of every piece under a reading
    agreed      what all readings of a text agree in

May import model, family, records, quantities, duty, tables and below; never a family, never another stage.
"""

from partsdb.reading.decode import identify
from partsdb.reading.fragments import read
from partsdb.reading.known import Index, build_index

__all__ = ["Index", "build_index", "identify", "read"]
