# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Corrections of a draft by a person: each function returns a new draft, nothing else changes.

A corrected figure says so in its evidence; the problems that the correction settles go, the others
stay. ``where`` is None for all prices, a column's letters with the sheet ('Quote!F'), or the place
of one price.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

from rfq.intake.cells import text_amount
from rfq.intake.grid import Book, Cell, Grid
from rfq.intake.settled import DIVISOR
from rfq.model.codes import PriceBase, TaxState
from rfq.model.draft import ColumnMap, Draft
from rfq.model.quote import Price
from rfq.problems import Place, Problem, Reading, Severity

Where = Place | str | None
# What each correction settles; a price is sure when none of these is left at its place.
_BLOCKING = frozenset(
    [
        "R010",
        "R011",
        "R012",
        "R013",
        "R014",
        "R015",
        "R016",
        "R017",
        "R018",
        "R019",
        "R020",
        "R021",
        "R022",
        "R023",
        "R030",
        "R032",
    ]
)


def _hit(price: Price, where: Where) -> bool:
    if where is None:
        return True
    if isinstance(where, Place):
        return price.place == where
    sheet, _, column = where.rpartition("!")
    return price.place.sheet == sheet and re.sub(r"\d", "", price.place.cell) == column


def _change(
    draft: Draft, where: Where, settles: set[str], change: Callable[[Price], Price]
) -> Draft:
    """Apply a change to prices and drop the problems it settles."""
    hit = {i for i, price in enumerate(draft.prices) if _hit(price, where)}
    if not hit:
        raise LookupError(f"no price stands at {where}")
    places = {(draft.prices[i].place, draft.prices[i].part) for i in hit}
    problems = tuple(
        p for p in draft.problems
        if not (p.code in settles and any(p.place == place and p.subject in ("", part) for place, part in places))
    )  # fmt: skip
    open_ = {
        (p.place, p.subject) for p in problems if p.severity is not Severity.NOTE and p.code in _BLOCKING
    }  # fmt: skip
    prices = []
    for i, price in enumerate(draft.prices):
        if i in hit:
            old = (price.place, price.part)
            price = change(price)
            left = old in open_ or (price.place, price.part) in open_
            whole = price.each is not None and bool(price.currency)
            price = price.model_copy(update={"sure": whole and not left})
        prices.append(price)
    return draft.model_copy(update={"prices": tuple(prices), "problems": problems})


def _evidence(price: Price, words: str) -> str:
    return f"{price.evidence}; {words}" if price.evidence else words


def set_price(draft: Draft, place: Place, text: str) -> Reading[Draft]:
    """Return the draft with one price typed anew, per piece and net.

    Problems: R010 no number; R011 two readings.
    """
    read = text_amount(text)
    if len(read.values) != 1 or read.values[0] < 0 or read.percent:
        two = len(read.values) > 1
        what = f"can be read as {' or '.join(map(str, read.values))}" if two else "is no price"
        return Reading(
            None,
            (
                Problem(
                    "R011" if two else "R010",
                    f"'{text[:60]}' {what}; type for example 41.20.",
                    place,
                ),
            ),
        )
    value = read.values[0]
    codes = read.currencies

    def change(price: Price) -> Price:
        update: dict[str, Any] = {
            "each": value,
            "printed": value,
            "per": "1",
            "discount_percent": None,
            "evidence": _evidence(price, "typed by hand"),
        }
        if price.tax == "included":  # typed net, so a later change takes no tax off again
            update |= {"tax": "excluded", "tax_percent": None}
        if len(codes) == 1:
            update["currency"] = codes[0]
        return price.model_copy(update=update)

    settles = {
        "R010",
        "R011",
        "R012",
        "R013",
        "R014",
        "R016",
        "R021",
        "R022",
        "R023",
        "R030",
        "R032",
    }
    if len(codes) == 1:
        settles.add("R015")
    return Reading(_change(draft, place, settles, change))


def confirm(draft: Draft, place: Place) -> Draft:
    """Return the draft with one price accepted as it is read; it must have figure and currency."""

    def change(price: Price) -> Price:
        return price.model_copy(update={"evidence": _evidence(price, "confirmed by hand")})

    return _change(draft, place, set(_BLOCKING) - {"R015"}, change)


def set_currency(draft: Draft, code: str, where: Where = None) -> Draft:
    """Return the draft with the currency of all, a column's or one price set."""
    code = code.upper()
    if not re.fullmatch("[A-Z]{3}", code):
        raise ValueError(f"'{code}' is no currency code such as EUR")

    def change(price: Price) -> Price:
        return price.model_copy(
            update={"currency": code, "evidence": _evidence(price, f"currency {code} set by hand")}
        )

    out = _change(draft, where, {"R015"}, change)
    charges = tuple(
        c if c.currency else c.model_copy(update={"currency": code}) for c in out.charges
    )
    return out.model_copy(update={"charges": charges if where is None else out.charges})


def set_tax(
    draft: Draft, state: TaxState, percent: Decimal | None = None, where: Where = None
) -> Draft:
    """Return the draft with tax inside or outside the printed prices.

    Raises:
        ValueError: tax is inside and no rate is given.
    """
    if state == "included" and percent is None:
        raise ValueError("tax inside the prices needs its rate in percent")

    def change(price: Price) -> Price:
        taxed = price.model_copy(update={"tax": state, "tax_percent": percent})
        return taxed.model_copy(
            update={
                "each": _from_printed(taxed, price.per),
                "evidence": _evidence(price, f"tax {state} set by hand"),
            }
        )

    out = _change(draft, where, {"R016"}, change)
    if where is None:
        problems = tuple(p for p in out.problems if p.code != "R034")
        terms = out.terms.model_copy(update={"tax": state, "tax_percent": percent})
        out = out.model_copy(update={"terms": terms, "problems": problems})
    return out


def _from_printed(price: Price, base: str) -> Decimal | None:
    if price.printed is None:
        return price.each
    each: Decimal | None
    if base == "lot":
        each = price.printed / price.quantity
    elif base == "kg":
        each = price.printed * price.weight_kg if price.weight_kg else None
    else:
        each = price.printed / DIVISOR[base]
    if each is not None and price.discount_percent:
        each *= 1 - price.discount_percent / 100
    if each is not None and price.tax == "included" and price.tax_percent is not None:
        from rfq.intake.prices import net_of

        each = net_of(each, price.tax_percent)
    return each


def set_base(draft: Draft, base: PriceBase, where: Where = None) -> Draft:
    """Return the draft with the price base (per 1, 100, lot ...) of prices set."""

    def change(price: Price) -> Price:
        return price.model_copy(
            update={
                "per": base,
                "each": _from_printed(price, base),
                "evidence": _evidence(price, f"price base {base} set by hand"),
            }
        )

    return _change(draft, where, {"R022", "R012", "R030"}, change)


def set_quantity(draft: Draft, place: Place, quantity: int) -> Draft:
    """Return the draft with the quantity of one price set."""

    def change(price: Price) -> Price:
        moved = price.model_copy(
            update={"quantity": quantity, "evidence": _evidence(price, "quantity set by hand")}
        )
        if price.per == "lot":
            moved = moved.model_copy(update={"each": _from_printed(moved, "lot")})
        return moved

    return _change(draft, place, {"R017", "R012"}, change)


def match_part(draft: Draft, printed: str, part: str, revision: str = "") -> Draft:
    """Return the draft with a part as read matched to a part of the request."""
    if not any(p.part == printed for p in draft.prices) and not any(
        d.part == printed for d in draft.declined
    ):
        raise LookupError(f"no price of {printed} stands in the reply")
    places = {p.place for p in draft.prices if p.part == printed}
    problems = tuple(
        p for p in draft.problems if not (p.code in ("R018", "R019", "R020") and p.subject == printed and p.place in places)
    )  # fmt: skip
    open_ = {
        (p.place, p.subject)
        for p in problems
        if p.severity is not Severity.NOTE and p.code in _BLOCKING
    }
    prices = []
    for price in draft.prices:
        if price.part == printed:
            left = (price.place, printed) in open_
            price = price.model_copy(
                update={
                    "part": part, "revision": revision or price.revision,
                    "sure": price.each is not None and bool(price.currency) and not left,
                    "evidence": _evidence(price, f"'{printed}' matched to {part} by hand"),
                }
            )  # fmt: skip
        prices.append(price)
    declined = tuple(
        d.model_copy(update={"part": part}) if d.part == printed else d for d in draft.declined
    )
    return draft.model_copy(
        update={"prices": tuple(prices), "problems": problems, "declined": declined}
    )


def leave_out(draft: Draft, place: Place, reason: str = "left out by hand") -> Draft:
    """Return the draft without one price; its cell stays listed with the reason."""
    gone = [p for p in draft.prices if p.place == place]
    if not gone:
        raise LookupError(f"no price stands at {place}")
    parts = {p.part for p in gone}
    prices = [p for p in draft.prices if p.place != place]
    problems = tuple(
        p for p in draft.problems if not (p.place == place and (p.subject in parts or not p.subject))
    )  # fmt: skip
    # a rival that is left alone is no rival any more
    twins = {(p.part, p.quantity) for p in gone}
    settled = [p for p in prices if (p.part, p.quantity) in twins]
    for price in settled:
        problems = tuple(p for p in problems if not (p.code == "R021" and p.place == price.place))
        open_ = any(
            p.place == price.place
            and p.subject == price.part
            and p.severity is not Severity.NOTE
            and p.code in _BLOCKING
            for p in problems
        )
        prices[prices.index(price)] = price.model_copy(
            update={"sure": price.each is not None and bool(price.currency) and not open_}
        )
    cells = tuple(
        c.model_copy(update={"meaning": "left out", "understood": reason}) if c.place == place else c for c in draft.cells
    )  # fmt: skip
    return draft.model_copy(update={"prices": tuple(prices), "problems": problems, "cells": cells})


def settle_question(draft: Draft, code: str, place: Place, answer: str) -> Draft:
    """Return the draft with one question that concerns no figure answered (a comment, a remark)."""
    problems = tuple(
        Problem(
            p.code, f"{p.message} Answered: {answer}", p.place, Severity.NOTE, subject=p.subject
        )
        if p.code == code and p.place == place and code not in _BLOCKING
        else p
        for p in draft.problems
    )
    return draft.model_copy(update={"problems": problems})


def book_of_draft(draft: Draft) -> Book:
    """Return the grids a draft was read from, rebuilt from its cells."""
    grids: dict[tuple[str, int], Grid] = {}
    for cell in draft.cells:
        found = re.fullmatch(r"([A-Z]+)(\d+)", cell.place.cell)
        if not found or (cell.meaning == "left out" and "hidden" in cell.understood):
            continue
        column = 0
        for letter in found[1]:
            column = column * 26 + ord(letter) - 64
        grid = grids.setdefault((cell.place.sheet, cell.place.page), Grid(cell.place.sheet))
        grid.put(Cell(int(found[2]), column, cell.kind, cell.raw, cell.format, cell.comment))  # type: ignore[arg-type]
    for (sheet, _), grid in grids.items():
        grid.merges = [m for c in draft.columns if c.sheet == sheet for m in c.merges]
    return Book(draft.form, list(grids.values()))


def remap_column(
    draft: Draft, sheet: str, column: str, meaning: str, *, request: Any = None, parts: Any = None,
    shop_currency: str = "", headings: Path | None = None,
) -> Draft:  # fmt: skip
    """Return the draft read anew with one column meaning something else.

    Args:
        draft: as read; other corrections by hand are made after this one.
        sheet, column: where ('', 'F').
        meaning: a meaning of ``headings.csv`` ('unit price', 'quantity', 'note' ...) or ''.
        request, parts, shop_currency, headings: as in ``read_reply``.
    """
    from rfq.intake.assemble import as_mapping, draft_of
    from rfq.intake.lexicon import lexicon
    from rfq.intake.matching import Known

    maps: list[ColumnMap] = []
    for old in draft.columns:
        columns = {k: v for k, v in old.columns.items()}
        if old.sheet == sheet and column in old.headings:
            for other, said in list(columns.items()):
                if said == meaning and meaning in (
                    "quantity",
                    "part",
                    "unit price",
                    "price",
                    "total",
                ):
                    columns[other] = ""
            columns[column] = meaning
            if meaning != "unit price":
                old = old.model_copy(
                    update={"quantities": {k: v for k, v in old.quantities.items() if k != column}}
                )
        maps.append(old.model_copy(update={"columns": columns}))
    known = Known.of(request, as_mapping(parts) if parts else None)
    again = draft_of(
        book_of_draft(draft), draft.file, draft.sha256, known, lexicon(headings),
        shop_currency=shop_currency, memory=maps,
    )  # fmt: skip
    hidden = tuple(c for c in draft.cells if c.meaning == "left out" and "hidden" in c.understood)
    return again.model_copy(
        update={
            "shop": draft.shop, "shop_confidence": draft.shop_confidence, "form": draft.form,
            "received": draft.received, "sender": draft.sender, "cells": (*again.cells, *hidden),
            "problems": tuple(p for p in again.problems if p.code != "R044"),
        }
    )  # fmt: skip
