"""Plate text and measurements to weighted specifications.

    fragments   the fragment grammar; `read`
    channel     the glyph channel: what is seen against what was written; the plate as one line of glyphs
    templates   the grammar of family.Writing      numerals   how plates write numbers
    lexicon     every text families can write, laid out once     align   every text at every place at once
    scoring     places per field      options   with priors, omission, measurements (instruments)
    beam        the joint search      drafts    combinations as specifications with evidence
    known       the index of known parts           recall     their scores on one plate
    posterior   probabilities, leftover, marginals decode     `identify`

Imports model, family, quantities and tables only; never a family, never another stage.
"""

from partsdb.reading.decode import identify
from partsdb.reading.fragments import read
from partsdb.reading.known import Index, build_index

__all__ = ["Index", "build_index", "identify", "read"]
