"""Incoterms 2020: who pays what, and the traps in how people write them.

Source of the matrix: EXW, FCA, CPT, CIP, DAP and DPU from a published chart (seen); DDP, FAS,
FOB, CFR and CIF from memory. It states cost, not risk, and no legal advice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, cast

from rfq.model.codes import Incoterm
from rfq.problems import Place, Problem, Reading, Severity

#: Cost items in the order goods travel.
ITEMS: tuple[str, ...] = (
    "export packing",
    "loading at seller",
    "inland carriage to port",
    "export clearance",
    "origin terminal and loading",
    "main carriage",
    "insurance",
    "destination terminal",
    "import clearance, duty and tax",
    "carriage to destination",
    "unloading",
)
#: One letter an item: S seller, B buyer, D depends on the named place or the carriage contract.
_ROWS = (
    "EXW any S B B B B B B B B B B",
    "FCA any S S D S B B B B B B B",
    "CPT any S S S S S S B D B S B",
    "CIP any S S S S S S S D B S B",
    "DAP any S S S S S S S S B S B",
    "DPU any S S S S S S S S B S S",
    "DDP any S S S S S S S S S S B",
    "FAS sea S S S S B B B B B B B",
    "FOB sea S S S S S B B B B B B",
    "CFR sea S S S S S S B B B B B",
    "CIF sea S S S S S S S B B B B",
)
Payer = Literal["seller", "buyer", "depends"]
_PAYER: dict[str, Payer] = {"S": "seller", "B": "buyer", "D": "depends"}
MATRIX: dict[str, dict[str, Payer]] = {
    row.split()[0]: {
        item: _PAYER[letter] for item, letter in zip(ITEMS, row.split()[2:], strict=True)
    }
    for row in _ROWS
}
#: Rules for sea and inland waterway only.
SEA_ONLY: frozenset[str] = frozenset(row.split()[0] for row in _ROWS if row.split()[1] == "sea")
RULES: tuple[str, ...] = tuple(MATRIX)
#: What the letters leave out.
REMARKS: dict[str, str] = {
    "FCA": "Loaded by the seller at its own premises; elsewhere the seller brings it to the place.",
    "CPT": "Terminal and unloading at destination: by the contract of carriage.",
    "CIP": "Insurance for all risks (Institute Cargo Clauses A), 110 % of the value.",
    "DAP": "The seller carries the risk up to the place and need not insure.",
    "DPU": "The only rule under which the seller unloads.",
    "DDP": "The seller clears import and pays duty and tax: check that it can, and VAT.",
    "FAS": "Handed over beside the ship; loading is the buyer's.",
    "FOB": "Handed over on board a ship; containers and air freight want FCA.",
    "CFR": "Unloading is the buyer's unless it is in the freight.",
    "CIF": "Insurance at least to Institute Cargo Clauses C, 110 %.",
    "EXW": "The buyer clears export: across a customs border FCA is safer.",
}


@dataclass(frozen=True, slots=True)
class DeliveryTerm:
    """A rule with its named place.

    Args:
        rule: one of ``RULES``. place: the named place; '' when missing.
    """

    rule: Incoterm
    place: str


def pays(rule: str, item: str) -> Payer:
    """Who pays one item under a rule.

    Raises:
        KeyError: a rule or item that is not in the matrix.

    >>> pays("FCA", "main carriage"), pays("DPU", "unloading")
    ('buyer', 'seller')
    """
    return MATRIX[rule][item]


def buyer_pays(rule: str, *, depends: bool = False) -> frozenset[str]:
    """The items the buyer pays on top of the price.

    Args:
        rule: one of ``RULES``. depends: count what depends on the named place as the buyer's.
    Raises:
        KeyError: no rule of Incoterms 2020.

    >>> sorted(buyer_pays("DAP"))
    ['import clearance, duty and tax', 'unloading']
    >>> len(buyer_pays("EXW")), buyer_pays("DDP")
    (10, frozenset({'unloading'}))
    """
    wanted = ("buyer", "depends") if depends else ("buyer",)
    return frozenset(item for item, payer in MATRIX[rule].items() if payer in wanted)


_TERM = re.compile(rf"\b(?P<rule>{'|'.join(RULES)})\b(?P<rest>[^\n;]*)", re.IGNORECASE)
_WORDS = (
    ("ex works", "EXW"),
    ("ex-works", "EXW"),
    ("ab werk", "EXW"),
    ("free carrier", "FCA"),
    ("delivered at place", "DAP"),
    ("delivered duty paid", "DDP"),
    ("frei haus", "DAP"),
)
_OLD = {"DDU": "DAP", "DAT": "DPU", "DAF": "DAP", "DES": "DAP", "DEQ": "DPU"}


def read_term(text: str, place: Place = Place()) -> Reading[DeliveryTerm]:  # noqa: B008
    """The delivery term in a text, with the questions it raises.

    Args:
        text: as the shop wrote it. place: where it stands.
    Problems: T070 'FOB origin' and its kin (stop), T071 no rule found (stop), T072 rule of an
        older edition (stop), T073 no named place (ask), T074 a sea rule without a port (ask).

    >>> read_term("FCA Gdansk, Incoterms 2020").get()
    DeliveryTerm(rule='FCA', place='Gdansk')
    >>> print(read_term("FOB origin, freight collect").problems[0].code)
    T070
    >>> [problem.code for problem in read_term("EXW").problems]
    ['T073']
    """
    words = " ".join(text.split())
    us = re.search(
        r"\bF\.?O\.?B\.?,?\s+(origin|destination|shipping point|factory|our dock|plant)\b",
        words,
        re.I,
    )
    if us:
        return _stop(
            "T070",
            f"'{us[0]}' is a United States shipping term, no Incoterms rule; ask for FCA or DAP "
            "with a named place.",
            place,
        )
    old = re.search(rf"\b({'|'.join(_OLD)})\b", words)
    if old:
        return _stop(
            "T072",
            f"{old[1]} is no longer a rule of Incoterms 2020; {_OLD[old[1]]} comes nearest: ask.",
            place,
        )
    found = _TERM.search(words)
    if found:
        rule, rest = found["rule"].upper(), found["rest"]
    else:
        spoken = next(((w, r) for w, r in _WORDS if w in words.lower()), None)
        if spoken is None:
            return _stop(
                "T071",
                f"'{words[:60]}' names no rule of Incoterms 2020; write for example 'DAP Kiel'.",
                place,
            )
        rule = spoken[1]
        rest = words[words.lower().index(spoken[0]) + len(spoken[0]) :]
    where = _named_place(rest)
    problems = []
    if not where:
        problems.append(
            Problem(
                "T073",
                f"{rule} without a named place is incomplete; ask for the place.",
                place,
                Severity.ASK,
            )
        )
    if rule in SEA_ONLY and (
        re.search(r"courier|air|truck|road|parcel|express", words, re.I)
        or (where and not re.search(r"\b(port|harbou?r|hafen)\b", words, re.I))
    ):
        problems.append(
            Problem(
                "T074",
                f"{rule} is for ships; '{where or words[:40]}' is not stated to be a port: ask "
                "whether FCA or DAP is meant.",
                place,
                Severity.ASK,
            )
        )
    return Reading(DeliveryTerm(cast(Incoterm, rule), where), tuple(problems))


def _named_place(rest: str) -> str:
    text = re.sub(
        r"\(?\bIncoterms\b.*$|®|\(?\b(?:19|20)\d\d\b\)?.*$", "", rest, flags=re.IGNORECASE
    )
    text = re.sub(r"\bby\s+(courier|air|truck|road|parcel|express)\b.*$", "", text, flags=re.I)
    text = text.strip(" ,:-().")
    return text if re.search(r"[^\W\d_]{2}", text) else ""


def _stop(code: str, message: str, place: Place) -> Reading[DeliveryTerm]:
    return Reading(None, (Problem(code, message, place),))
