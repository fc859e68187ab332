"""Which currency a price is in: the nearest statement wins, a doubtful sign is asked about."""

from __future__ import annotations

import re

from rfq.intake.cells import amount
from rfq.intake.grid import Book
from rfq.intake.money import currencies_in
from rfq.intake.row import Row
from rfq.intake.settled import Settled
from rfq.intake.terms_found import Terms

_Codes = tuple[str, ...]


class Currencies:
    """All statements of currency in a reply, from the cell outwards to the footer."""

    def __init__(self, book: Book, rows: list[Row], terms: Terms, shop: str) -> None:
        self._shop = shop
        self._rows = rows
        text = " ".join(
            cell.text for grid in book.grids if not grid.hidden for row in grid.rows.values()
            for cell in row.values() if cell.kind == "s" and not cell.text.isascii()
        ) + (book.text if not book.text.isascii() else "")  # fmt: skip
        self._kana = bool(re.search(r"[\u3040-\u30ff]", text))
        self._han = bool(re.search(r"[\u4e00-\u9fff]", text))
        strong = [codes for codes, _, how in terms.currencies if how == "stated"]
        weak = [codes for codes, _, how in terms.currencies if how != "stated"]
        self._stated = self._together(strong) or self._together(weak)
        self._hints = {code for codes in (*strong, *weak) for code in codes if len(codes) == 1}
        self._sums = self._together(
            [
                a.currencies
                for row in rows if row.kind in ("sum", "tax", "charge", "one-off")
                for cell in row.table.grid.rows[row.number].values()
                if (a := amount(cell)).currencies
            ]
            + [currencies_in(row.label) for row in rows if row.kind in ("sum", "tax")]
        )  # fmt: skip
        headings = [
            column.currencies
            for table in {id(r.table): r.table for r in rows}.values()
            for column in table.columns.values() if column.currencies
        ]  # fmt: skip
        self._headings = self._together(headings)

    @staticmethod
    def _together(found: list[_Codes]) -> _Codes:
        """One currency if all statements agree; all of them where they differ."""
        found = [codes for codes in found if codes]
        if not found:
            return ()
        common = set(found[0])
        for codes in found[1:]:
            common &= set(codes)
        if common:
            return tuple(code for code in found[0] if code in common)
        return tuple(dict.fromkeys(code for codes in found for code in codes))

    def _settle(self, codes: _Codes) -> tuple[str, str, str]:
        """Return (code, doubt, note) for what a sign can mean."""
        if len(codes) == 1:
            return codes[0], "", ""
        if not codes:
            return "", "", ""
        near = [c for c in codes if c in self._hints]
        if len(near) == 1:
            return near[0], "", ""
        if self._shop in codes:
            return self._shop, "", ""
        if "CNY" in codes and "JPY" in codes:
            if self._kana:
                return "JPY", "", ""
            if self._han:
                return "CNY", "", ""
        if codes[0] == "USD" and not near:
            return "USD", "", "dollar"
        listed = " or ".join(codes[:4])
        return "", f"the currency may be {listed}; ask which", ""

    def of_price(self, item: Settled) -> tuple[str, str, str]:
        """Return (currency or '', doubt or '', note or '') of a price."""
        row, offer = item.row, item.offer
        own = offer.amount.currencies
        column = row.by.get("currency")
        stated = currencies_in(column.text, beside_number=True) if column is not None else ()
        heading = offer.column.currencies
        if own and heading and not set(own) & set(heading):
            return (
                own[0] if len(own) == 1 else "",
                f"the cell says {own[0]} and the heading {heading[0]}; ask which",
                "",
            )
        if own and stated and not set(own) & set(stated):
            return "", f"the cell says {own[0]} and the currency column {stated[0]}; ask which", ""
        for codes in (own, stated, offer.total.currencies, heading):
            if codes:
                code, doubt, note = self._settle(codes)
                if code or doubt:
                    return code, doubt, note
        for beside in ("unit", "price base", "note"):
            if beside in row.by:
                codes = currencies_in(row.by[beside].text)
                if len(codes) == 1:
                    return codes[0], "", ""
        total = offer.total_column.currencies if offer.total_column else ()
        for codes in (total, self._headings, self._stated, self._sums):
            if codes:
                code, doubt, note = self._settle(codes)
                if code or doubt:
                    return code, doubt, note
        others = {
            o.amount.currencies for r in self._rows if r.table is row.table
            for o in r.offers if o.amount.currencies
        }  # fmt: skip
        if len(others) == 1:
            code, doubt, note = self._settle(others.pop())
            if code:
                return (
                    code,
                    "",
                    f"no currency stands beside this price; the others of the table are in {code}",
                )
        hint = f" (the shop's usual currency is {self._shop})" if self._shop else ""
        return "", f"no currency is stated anywhere{hint}; ask for it", ""

    def of_charge(self, own: _Codes, row: Row | None = None) -> str:
        """Return the currency of a charge, '' where it is not told."""
        for codes in (own, self._headings, self._stated, self._sums):
            if codes:
                code, _, _ = self._settle(codes)
                if code:
                    return code
        return ""

    def of_words(self, own: _Codes) -> tuple[str, str, str]:
        """Return (currency or '', doubt, note) of a price in a sentence."""
        for codes in (own, self._stated, self._headings, self._sums):
            if codes:
                code, doubt, note = self._settle(codes)
                if code or doubt:
                    return code, doubt, note
        return "", "no currency is stated anywhere; ask for it", ""
