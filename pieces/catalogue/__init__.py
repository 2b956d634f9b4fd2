"""Reads a catalogue in from CSV files, whole or not at all, with a report line by line.

`kinds` is the one table of record kinds and columns (the page “What the columns mean” and every refusal are made from
it); `cells` reads one cell; `agreement` says whether the cells of one line agree; `sheets` turns bytes into lines;
`records` finds what is stored already; `planning` compares; `importing` is the deed.
"""

from pieces.catalogue.importing import read_catalogue
from pieces.catalogue.kinds import Kind, kinds
from pieces.catalogue.report import BadLine, CatalogueReport

__all__ = ["BadLine", "CatalogueReport", "Kind", "kinds", "read_catalogue"]
