"""The part families, one folder each: found by being here, listed nowhere else.

A folder holds all we know of a kind of part, written with what `partsdb.family` offers:

    __init__.py      what the part is, how its plates read, what kills it; FAMILY, put together from the rest
    family.toml      attributes with what silence about them means, writings, numbers that must agree, duty terms
    limits.py        require(place): what must hold where the part sits
    words.toml       what a fitter is told: hazards, symptoms, measurements, checks after fitting
    cures, figures   formulas and ways out of this family alone, each with its source
    *.csv            its tables, each with source, edition and status

May import kit, family, physics and what stands before them; never another family, nor a stage.
"""
