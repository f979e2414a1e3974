"""Booking lists in, what each row means out. Pure: bytes and a moment are arguments, values are returned.

Reading order: `headings` and `tables` (bytes to cells), `days` and `readings` (a cell to a value),
`appointments` (start and arrival), `choices` (procedure, protocol, languages), `spans` (the days before),
`remarks` (damage and warning words), `rows` (all of it for each row), `reading` (what comes out), `doubles`
(a reference that stands twice, in one list or in several).
"""

from generator.intake.doubles import settled
from generator.intake.reading import Reading, RowReading
from generator.intake.rows import read_list

__all__ = ["Reading", "RowReading", "read_list", "settled"]
