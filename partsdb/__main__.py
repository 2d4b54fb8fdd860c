"""`python -m partsdb` is the same as the `partsdb` command."""

from partsdb.cli import main

main()
