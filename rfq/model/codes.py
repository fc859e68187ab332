"""Closed lists of words; one word for one thing, as the glossary of the trade has it."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

StockForm = Literal[
    "plate", "flat bar", "round bar", "tube", "rod", "sheet", "block", "casting", "powder"
]
PartKind = Literal["prismatic", "turned", "mill-turn"]
RuleSet = Literal["ISO GPS", "ASME Y14.5", ""]
Certificate = Literal["", "2.1", "2.2", "3.1", "3.2"]  # EN 10204 types
Incoterm = Literal[
    "EXW", "FCA", "CPT", "CIP", "DAP", "DPU", "DDP", "FAS", "FOB", "CFR", "CIF", ""
]  # Incoterms 2020
TaxState = Literal["excluded", "included", "not stated"]
Ticked = Literal["in", "out", "not stated"]
PriceBase = Literal["1", "10", "100", "1000", "lot", "kg", "dozen"]


class Scope(StrEnum):
    """What a unit price may or may not contain; each is a tick on the response sheet."""

    FINISH = "finish"
    MASKS = "masks"
    CERTIFICATES = "certificates"
    FIRST_ARTICLE = "first article"
    INSPECTION = "inspection"
    PACKING = "packing"
    FREIGHT = "freight"


class CellState(StrEnum):
    """State of one shop's price for one line."""

    NOT_ASKED = "not asked"
    DECLINED = "declined"
    NO_ANSWER = "no answer"
    QUOTED = "quoted"
    EXPIRED = "expired"
    WITHDRAWN = "withdrawn"


class Verdict(StrEnum):
    """What is said of a price."""

    IN_LINE = "in line"
    OUTSIDE = "outside the band"
    QUERY = "query"
    LIKELY_ERROR = "likely error"


class Basis(StrEnum):
    """What a parameter rests on."""

    SOURCE = "source"
    MEMORY = "from memory"
    PRACTICE = "common practice"
    USER = "the user's"


# Elements of a should-cost in the order of making; a printed or cast route leaves some out
# and has 'build' (machine and powder of a print) or 'casting' in place of 'stock'.
ELEMENTS = (
    "stock",
    "build",
    "casting",
    "set-ups",
    "run",
    "holes and threads",
    "deburring",
    "inspection",
    "finish",
    "packing and certificates",
    "one-offs",
    "overhead and margin",
)

# The five a shop can be asked for on the second tab of the response sheet.
BREAKDOWN = ("material", "set-up", "run", "finish", "inspection")

# How our elements fold into those five for an element-by-element comparison; overhead and
# margin are spread over the five in proportion, as a shop's rates contain them.
BREAKDOWN_OF = {
    "stock": "material",
    "build": "run",
    "casting": "material",
    "set-ups": "set-up",
    "run": "run",
    "holes and threads": "run",
    "deburring": "run",
    "inspection": "inspection",
    "finish": "finish",
    "packing and certificates": "inspection",
    "one-offs": "set-up",
}
