# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Comments, exceptions, and what a reply leaves open."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rfq.intake.cells import amount
from rfq.intake.grid import letters
from rfq.intake.terms_found import Terms
from rfq.intake.work import Work
from rfq.model.quote import Price, TakenException
from rfq.problems import Place, Severity

_SCOPE = re.compile(
    r"(?i)without|w/o|not incl|excl|only|ohne|nicht|nur\b|sans|non compris|senza|escl|sin\b|bez\b|不含|raw|extra|optional|instead|anstatt|statt|assum|subject to|tolerance|tol\.|toleranz"
)  # fmt: skip


def gather_remarks(work: Work, terms: Terms) -> None:
    """Exceptions and cell comments."""
    for row in work.rows:
        for cell, text in row.comments:
            place = row.table.grid.place(work.file, cell)
            clean = re.sub(r"\s+", " ", text.replace("[struck out]", "")).strip()
            if "[struck out]" in text:
                work.problem(
                    "R031",
                    f"'{cell.text[:60]}' is struck out and was not read.",
                    place,
                    Severity.NOTE,
                    row.match.part,
                )
            if not clean:
                continue
            scope = _SCOPE.search(clean)
            work.problem(
                "R031",
                f"A comment on the cell says: '{clean[:160]}'; {'it changes what the price covers: settle it with the shop' if scope else 'look whether it changes the price'}.",
                place,
                Severity.ASK if scope else Severity.NOTE,
                row.match.part,
            )
            work.exceptions.append(
                TakenException(part=row.match.part, text=clean[:500], place=place)
            )
        for name in ("exceptions",):
            if (
                name in row.by
                and row.by[name].text
                and amount(row.by[name]).state not in ("dash", "declined")
            ):
                work.exceptions.append(
                    TakenException(
                        part=row.match.part,
                        text=row.by[name].text[:500],
                        place=row.table.grid.place(work.file, row.by[name]),
                    )
                )
        if row.kind == "item" and "note" in row.by:
            from rfq.intake.terms import _EXCEPTION

            cell = row.by["note"]
            if _EXCEPTION.search(cell.text):
                work.exceptions.append(
                    TakenException(
                        part=row.match.part,
                        text=cell.text[:500],
                        place=row.table.grid.place(work.file, cell),
                    )
                )
        if row.kind == "item" and row.alternative:
            work.problem(
                "R039",
                f"{row.match.part}: '{row.alternative[:80]}' is read as an alternative, beside the price asked for.",
                row.table.grid.place(work.file, row.part_cell or row.texts[0])
                if (row.part_cell or row.texts)
                else Place(work.file),
                Severity.NOTE,
                row.match.part,
            )
    for said in terms.exceptions:
        work.exceptions.append(TakenException(text=said.text, place=said.place))
        work.problem(
            "R040",
            f"The reply departs from the request or says what is not in its price: '{said.text[:140]}'.",
            said.place,
            Severity.NOTE,
        )
    for code, text, place in terms.doubts:
        work.problem(
            code,
            text[:1].upper() + text[1:] + ".",
            place,
            Severity.NOTE if code in ("R041", "R042") else Severity.ASK,
        )


def open_questions(work: Work, prices: Sequence[Price], terms: Terms) -> None:
    """Add what nobody has answered: empty forms, parts and quantities without a price, tax."""
    if not prices and not work.declined:
        items = [row for row in work.rows if row.kind == "no price"]
        if items:
            work.problem(
                "R027",
                f"The sheet is empty: {len(items)} parts stand in it and no price; it looks like an unfilled form. Ask the shop to fill it in.",
                Place(work.file),
                Severity.ASK,
            )
        else:
            work.problem(
                "R028",
                "No price was found in this file; look at it, choose the columns, or type the prices in.",
                Place(work.file),
                Severity.ASK,
            )
        return
    answered = {p.part for p in prices} | {d.part for d in work.declined}
    if work.known.quantities:
        missing = [n for n in work.known.quantities if n not in answered]
        for number in missing:
            work.problem(
                "R036",
                f"{number} was asked for and isn't in this reply.",
                Place(work.file),
                Severity.NOTE,
                number,
            )
        for number, wanted in work.known.quantities.items():
            have = {p.quantity for p in prices if p.part == number and not p.alternative}
            lacking = [q for q in wanted if q not in have]
            if have and lacking:
                work.problem(
                    "R036",
                    f"{number} has no price at {', '.join(map(str, lacking))} pieces.",
                    Place(work.file),
                    Severity.NOTE,
                    number,
                )
    if prices and all(p.tax == "not stated" for p in prices):
        work.problem(
            "R034",
            "The reply doesn't say whether tax is in its prices; they are taken as net until the shop says otherwise.",
            Place(work.file),
            Severity.NOTE,
        )
    for table in work.tables:
        sure = table.confidence
        if 0 < sure < 0.6 and any(r.table is table and r.kind == "item" for r in work.rows):
            weak = min((c for c in table.columns.values() if c.meaning), key=lambda c: c.sure)
            work.problem(
                "R045",
                f"Column {letters(weak.index)} ('{weak.heading[:40]}') is taken as {weak.meaning}; look whether that is right.",
                Place(work.file, sheet=table.grid.name),
                Severity.ASK,
            )
