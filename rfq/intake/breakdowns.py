# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""A shop's own elements of a unit price, from the columns before it."""

from __future__ import annotations

import re
from decimal import Decimal

from rfq.intake.work import Work
from rfq.model.quote import Breakdown
from rfq.problems import Place


def breakdowns_of(work: Work) -> tuple[Breakdown, ...]:
    """Return the elements of each settled price whose row gives them."""
    out = []
    for item in work.settled:
        if not item.row.elements or item.row.alternative:
            continue
        elements: dict[str, Decimal] = {}
        hours: Decimal | None = None
        for column, read in item.row.elements:
            if len(read.values) != 1 or read.values[0] < 0:
                continue
            name = element_name(column.heading)
            if name == "hours":
                hours = read.values[0]
            elif name:
                elements[name] = elements.get(name, Decimal(0)) + read.values[0]
        if elements:
            cell = item.cell
            place = item.row.table.grid.place(work.file, cell) if cell else Place(work.file)
            out.append(
                Breakdown(
                    part=item.row.match.part,
                    quantity=item.quantity,
                    elements=elements,
                    hours=hours,
                    place=place,
                )
            )
    return tuple(out)


def element_name(heading: str) -> str:
    """Return which of the five elements a breakdown heading is; '' for none of them.

    >>> element_name("Rüstanteil je Stück"), element_name("Machining"), element_name("Old price")
    ('set-up', 'run', '')
    """
    for name, words in (
        ("", r"old|previous|prior|last|target|alt(?:er)? preis|bisher|ziel|ancien|vecchio|anterior|poprzedni|旧|scrap|margin|profit|gewinn|marge|utile|margen|marża|利润|overhead|gemeink|管理"),
        ("hours", r"hours?|stunden|heures|\bore\b|horas|godzin|工时|machine time"),
        ("set-up", r"set-?\s?up|rüst|réglage|attrezz|prepar|przygot|przezbroj|开机"),
        ("finish", r"finish|surface|coat|anodi|plat|oberfl|beschicht|elox|trait|acabad|recubr|powłok|wykończ|表面|heat treat|härt"),
        ("inspection", r"inspect|qc|prüf|mess|contrôle|controllo|collaudo|control|kontrol|检"),
        ("material", r"mat|werkst|matière|stock|raw|materiał|材料"),
        ("run", r"machin|run|labou?r|cycle|fertig|bearbeit|lohn|fräs|dreh|schleif|usinage|fraisage|tournage|lavoraz|tornitura|fresatura|mecaniz|fresado|torneado|obróbk|robocizn|加工|人工|turning|milling|grinding|cnc|mfg|process"),
    ):  # fmt: skip
        if re.search(words, heading, re.IGNORECASE):
            return name
    return ""
