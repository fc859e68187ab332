# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Settled prices with currency, tax, revision and lead time; every doubt becomes a problem."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from rfq.intake.cells import amount
from rfq.intake.currency import Currencies
from rfq.intake.doubts import doubts_of
from rfq.intake.lead_said import lead_time
from rfq.intake.money import tax_in
from rfq.intake.row import Row
from rfq.intake.settled import Settled
from rfq.intake.table import PRICES, TOTALS
from rfq.intake.terms_found import Terms
from rfq.intake.work import Work
from rfq.model.quote import Price
from rfq.problems import Place, Severity


@dataclass(frozen=True, slots=True)
class Tax:
    """What the reply as a whole says of tax."""

    state: str = ""
    percent: Decimal | None = None


def tax_of(work: Work, terms: Terms) -> Tax:
    """Return what the reply says of tax: in its terms, its rows, or its headings."""
    state = str(terms.values.get("tax", ""))
    percent = terms.values.get("tax_percent")
    rows = [row for row in work.rows if row.kind == "tax"]
    if rows and not state:
        for row in rows:
            said, rate = tax_in(row.label)
            state = said or "excluded"
            if rate:
                percent = Decimal(rate)
            cell = row.part_cell or row.texts[0] if row.texts else row.part_cell
            if cell is not None:
                terms.put("tax", state, row.table.grid.place(work.file, cell), f"tax {state}")
            if said:
                break
        if percent is not None:
            terms.values.setdefault("tax_percent", percent)
    if rows and percent is None:
        found = re.search(r"(\d{1,2}(?:[.,]\d{1,2})?)\s*%", " ".join(row.label for row in rows))
        if found:
            percent = Decimal(found[1].replace(",", "."))
            terms.values.setdefault("tax_percent", percent)
    if not state:
        # an order that adds tax below its sum quotes net prices, even where no word says so
        used = (*PRICES, *TOTALS, "list price", "one-off")
        heads = {c.tax for t in work.tables for c in t.by(*used) if c.tax}
        if len(heads) == 1:
            state = heads.pop()
            cell_state: Any = state
            terms.values["tax"] = cell_state
    return Tax(state, percent)


def prices_of(work: Work, money: Currencies, tax: Tax, terms: Terms) -> list[Price]:
    """Return the prices of all settled offers; their doubts and notes become problems."""
    out = []
    for item in work.settled:
        out.append(_price(work, item, money, tax, terms))
    return out


def _price(work: Work, item: Settled, money: Currencies, tax: Tax, terms: Terms) -> Price:
    row, offer, grid = item.row, item.offer, item.row.table.grid
    cell = item.cell or row.part_cell
    place = grid.place(work.file, cell) if cell is not None else Place(work.file, sheet=grid.name)
    part = row.match.part
    at = f"{part} at {item.quantity}"
    currency, doubt, note = money.of_price(item)
    doubts, notes = list(item.doubts), list(item.notes)
    if doubt:
        doubts.append(("R015", doubt))
    if note == "dollar":
        if not any(p.code == "R015" and "$" in p.message for p in work.problems):
            work.problem("R015", "The sign $ is taken as US dollars.", place, Severity.NOTE)
    elif note:
        notes.append(("R015", note))
    revision = row.match.revision or row.revision
    if row.match.sure < 0.9:
        if row.match.how == "not a part of the request":
            doubts.append(
                (
                    "R018",
                    f"'{part}' is not a part of the request; say which part it is or leave it out",
                )
            )
        else:
            shown = row.part_cell.text if row.part_cell else part
            doubts.append(
                ("R019", f"'{shown}' may be {part} ({row.match.how}); confirm the part number")
            )
    asked = work.known.numbers.get(part, "")
    if (
        asked
        and revision
        and asked.upper() != revision.upper()
        and asked.lstrip("0").upper() != revision.lstrip("0").upper()
    ):
        doubts.append(("R020", f"the price is for revision {revision}, asked was {asked}"))
    each, state, percent = item.each, "", None
    if item.gross or offer.column.tax:
        state = "included" if item.gross else offer.column.tax
        percent = Decimal(offer.column.tax_percent) if offer.column.tax_percent else None
    words = tax_in(offer.amount.words)[0] if offer.amount.words else ""
    state = words or state or tax.state
    if state == "included":
        percent = percent or _row_rate(row) or tax.percent
        if percent is None:
            doubts.append(
                ("R016", "tax is inside the price and its rate isn't stated; ask for the net price")
            )
        elif each is not None:
            each = net_of(each, percent)
            notes.append(
                (
                    "R016",
                    f"{percent} % tax is inside the printed {item.printed}; net it is {each.normalize():f}",
                )
            )
    doubts += doubts_of(row, item, cell, offer.column.base)
    if asked and part in work.known.quantities and item.quantity not in work.known.quantities[part]:
        notes.append(("R033", f"{item.quantity} pieces were not asked for"))
    for code, text in doubts:
        work.problem(code, f"{at}: {text}.", place, Severity.ASK, part)
    for code, text in notes:
        work.problem(code, f"{at}: {text}.", place, Severity.NOTE, part)
    lead = row.by["lead"].text if "lead" in row.by else ""
    column = next((c for c in row.table.by("lead")), None)
    lead_text = lead
    if lead and column is not None and re.fullmatch(r"[\d\s–-]+", lead):
        lead_text = f"{lead} {_unit_of(column.heading)}"
    read = lead_time(lead_text) if lead else None
    once = work.one_offs.get(part, [])
    note_text = row.by["note"].text if "note" in row.by else offer.amount.words
    minimum = item.minimum
    return Price(
        part=part, revision=revision or asked, quantity=item.quantity, printed=item.printed, per=item.base, each=each,
        currency=currency, tax=state or "not stated", tax_percent=percent if state else None,
        one_off=sum((v for v, _, _, _ in once), Decimal(0)) if once else None,
        one_off_name="; ".join(dict.fromkeys(n for _, n, _, _ in once))[:200],
        minimum_quantity=minimum, weight_kg=item.weight, line_total=item.total, discount_percent=item.discount,
        lead=lead[:100], lead_days=_lead_days(read), material=row.by["material"].text[:100] if "material" in row.by else "",
        alternative=row.alternative[:200], note=note_text[:300] if note_text else "", place=place,
        sure=not doubts, evidence="; ".join(item.evidence),
    )  # fmt: skip


def net_of(gross: Decimal, percent: Decimal) -> Decimal:
    """Return the net price; in whole cents where these give the printed gross price again.

    >>> net_of(Decimal("45.90"), Decimal(19))
    Decimal('38.57')
    """
    net = gross / (1 + percent / 100)
    for digits in (2, 3, 4):
        rounded = round(net, digits)
        # half a cent either way: programs round halves up, to even, or as binary fractions fall
        if abs(rounded * (1 + percent / 100) - round(gross, 2)) <= Decimal("0.005"):
            return rounded
    return net


def _row_rate(row: Row) -> Decimal | None:
    if "tax rate" not in row.by:
        return None
    read = amount(row.by["tax rate"])
    if len(read.values) == 1 and 0 < read.values[0] < 40:
        return read.values[0] if read.values[0] >= 1 else read.values[0] * 100
    return None


def _unit_of(heading: str) -> str:
    found = re.search(
        r"(?i)working days|business days|arbeitstage|werktage|\bAT\b|weeks?|wks?|wochen?|KW|semaines?|sem\b|settimane|semanas|tygodni\w*|周|days?|tage?|jours?|giorni|gg|días|dni|天",
        heading,
    )
    return found[0] if found else ""


def _lead_days(read: Any) -> int | None:
    if read is None or read.until is not None:
        return None
    return (
        int(read.amount * (7 if read.unit == "weeks" else 1))
        if read.unit != "working days"
        else -(-read.amount * 7 // 5)
    )


def without_doubles(work: Work, prices: list[Price]) -> list[Price]:
    """The same part and quantity twice: once if the prices agree, asked if they do not."""
    seen: dict[tuple[str, int], int] = {}
    out: list[Price] = []
    for price in prices:
        key = (price.part, price.quantity)
        if price.alternative or price.each is None:
            out.append(price)
            continue
        if key not in seen:
            seen[key] = len(out)
            out.append(price)
            continue
        other = out[seen[key]]
        if other.each == price.each and other.currency == price.currency:
            work.problem(
                "R021",
                f"{price.part} at {price.quantity} stands twice with the same price; it is read once.",
                price.place,
                Severity.NOTE,
                price.part,
            )
            continue
        text = f"{price.part} at {price.quantity} stands twice, once at {other.printed} and once at {price.printed}; ask which stands."
        work.problem("R021", text, other.place, Severity.ASK, price.part)
        work.problem("R021", text, price.place, Severity.ASK, price.part)
        out[seen[key]] = other.model_copy(update={"sure": False})
        out.append(price.model_copy(update={"sure": False}))
    return out
