# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Our own response sheet read back: exact, by its headings and labels, wherever rows moved.

No mapping and no guess: a cell that does not hold what its heading asks for is a problem that
names it. The sheet is checked against the request it answers.

Longer than 400 lines because the row reader checks each heading of the sheet against the others.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from rfq.intake.cells import Amount, amount
from rfq.intake.grid import Book, Cell
from rfq.intake.matching import Known
from rfq.intake.money import currencies_in
from rfq.intake.response_fields import FilledSheet, key_of
from rfq.intake.response_terms import _lead, terms_of
from rfq.intake.terms_found import Terms
from rfq.model import response as sheet
from rfq.model.codes import Scope
from rfq.model.draft import Draft, DraftCell
from rfq.model.money import extends_to
from rfq.model.quote import Breakdown, Declined, Price, TakenException
from rfq.problems import Problem, Reading, Severity


def is_response_sheet(book: Book) -> bool:
    """Whether a book is our own response sheet, by its mark in a shown cell."""
    return any(
        cell.kind == "s" and key_of(cell.text) == key_of(sheet.MARK)
        for grid in book.grids
        for row in list(grid.rows.values())[:60]
        for cell in row.values()
    )


def read_response_sheet(
    book: Book, file: str, sha256: str, request: Any, known: Known
) -> Reading[Draft]:
    """Return the draft of a filled response sheet.

    Problems:
        R027 unfilled; R047 it answers another request, revision or round; R048 made by a newer
        version; R010 to R023 as in other replies.
    """
    own = FilledSheet(book, file, request, known)
    version = amount(own.value(sheet.MARK)).values
    if version and version[0] > sheet.VERSION:
        return Reading(
            None,
            (
                Problem(
                    "R048",
                    f"{file} was made by a newer version (sheet {version[0]}, this one reads {sheet.VERSION}); update before reading it.",
                    own.place(own.value(sheet.MARK)),
                ),
            ),
        )
    revision = amount(own.value(sheet.REVISION_OF_REQUEST)).values
    round_ = amount(own.value(sheet.ROUND)).values
    _check_request(own, revision)
    currency_cell = own.value(sheet.TERM_CURRENCY)
    codes = currencies_in(currency_cell.text, beside_number=True) if currency_cell else ()
    currency = codes[0] if len(codes) == 1 else ""
    terms, charges = terms_of(own, currency)
    prices, declined, exceptions = _prices(own, currency, terms)
    scope: dict[Scope, Any] = {}
    for item in Scope:
        said = key_of(own.text(sheet.SCOPE_LABEL + item.value))
        if said in ("in", "yes", "x", "included"):
            scope[item] = "in"
        elif said in ("out", "no", "excluded"):
            scope[item] = "out"
        elif key_of(sheet.SCOPE_LABEL + item.value) in own.labels:
            scope[item] = "not stated"
    if prices:
        open_ = [item.value for item, said in scope.items() if said == "not stated"]
        if open_:
            own.say(
                "R035",
                f"Not ticked whether in the unit price: {', '.join(open_)}.",
                None,
                Severity.NOTE,
            )
        if terms.values.get("tax", "not stated") == "not stated":
            own.say(
                "R034",
                "The sheet doesn't say whether tax is in its prices; they are taken as net until the shop says otherwise.",
                own.value(sheet.TERM_TAX),
                Severity.NOTE,
            )
    elif not declined:
        own.say(
            "R027",
            "The response sheet is empty: no price and no declined part stands in it. Ask the shop to fill it in.",
            None,
        )
    _missing(own, prices, declined)
    remarks = own.value(sheet.TERM_REMARKS)
    if remarks is not None and remarks.text:
        exceptions.append(TakenException(text=remarks.text[:500], place=own.place(remarks)))
        own.say("R040", f"Remark of the shop: '{remarks.text[:140]}'.", remarks, Severity.NOTE)
    for grid in book.grids:
        for r, row in grid.rows.items():
            for cell in row.values():
                if cell.comment:
                    own.problems.append(
                        Problem(
                            "R031",
                            f"A comment on the cell says: '{cell.comment[:160]}'; look whether it changes the price.",
                            own.place(cell, grid),
                            Severity.ASK,
                        )
                    )
                    exceptions.append(
                        TakenException(text=cell.comment[:500], place=own.place(cell, grid))
                    )
                if cell.text:
                    own.cells.append(
                        DraftCell.model_construct(
                            place=own.place(cell, grid),
                            raw=cell.text[:500],
                            meaning="heading" if grid is own.grid and r == own.head else "",
                            understood="",
                            sure=1.0,
                        )
                    )
    draft = Draft(
        file=file, sha256=sha256, shop=own.text(sheet.SHOP), shop_confidence=1.0 if own.text(sheet.SHOP) else 0.0,
        form="response sheet", request=own.text(sheet.REQUEST),
        revision=int(revision[0]) if revision and revision[0] % 1 == 0 else 0,
        round=int(round_[0]) if round_ and round_[0] % 1 == 0 else 0,
        prices=tuple(prices), charges=tuple(charges), terms=terms.terms(), scope=scope,
        exceptions=tuple(exceptions), declined=tuple(declined), breakdowns=_breakdowns(own),
        cells=tuple(own.cells), problems=tuple(own.problems),
    )  # fmt: skip
    return Reading(draft)


def _check_request(own: FilledSheet, revision: tuple[Decimal, ...]) -> None:
    request = own.request
    if request is None:
        return
    named = own.text(sheet.REQUEST)
    if named != request.id:
        own.say(
            "R047",
            f"The sheet answers request '{named}', not {request.id}.",
            own.value(sheet.REQUEST),
        )
    elif not revision or revision[0] != request.revision:
        shown = own.text(sheet.REVISION_OF_REQUEST) or "none"
        own.say(
            "R047",
            f"The sheet answers revision {shown} of the request; it stands at {request.revision} now: ask whether the prices still hold.",
            own.value(sheet.REVISION_OF_REQUEST),
        )
    key = own.text(sheet.SHEET_KEY)
    if (
        key
        and request.content_sha256
        and not request.content_sha256.startswith(key)
        and key != request.content_sha256
        and named == request.id
    ):
        own.say(
            "R047",
            "The sheet's key isn't that of the request as it was sent; it may be an older or changed sheet.",
            own.value(sheet.SHEET_KEY),
            Severity.NOTE,
        )


def _prices(
    own: FilledSheet, currency: str, terms: Terms
) -> tuple[list[Price], list[Declined], list[TakenException]]:
    grid = own.grid
    columns: dict[str, int] = {}
    for c, cell in grid.rows.get(own.head, {}).items():
        for name in sheet.COLUMNS:
            if key_of(cell.text) == key_of(name):
                columns.setdefault(name, c)
    prices: list[Price] = []
    declined: list[Declined] = []
    exceptions: list[TakenException] = []
    if sheet.PART not in columns or sheet.UNIT_PRICE not in columns:
        own.say(
            "R047",
            "The headings of the price table are gone; ask for the sheet with its headings as sent.",
            None,
        )
        return prices, declined, exceptions
    above = ""
    for r in sorted(n for n in grid.rows if n > own.head):
        row = grid.rows[r]

        def at(name: str, row: dict[int, Cell] = row) -> Cell | None:
            return row.get(columns.get(name, -1))

        def text(name: str, at: Any = at) -> str:
            cell = at(name)
            return cell.text.strip() if cell else ""

        part = text(sheet.PART)
        price_cell = at(sheet.UNIT_PRICE)
        read = amount(price_cell)
        if not part and read.state == "blank":
            if above and not any(key_of(c.text) in own.labels for c in row.values()):
                left = " | ".join(c.text for c in row.values())[:300]
                own.cells.append(
                    DraftCell(
                        place=own.place(next(iter(row.values()))),
                        raw=left,
                        meaning="left out",
                        understood="left out: a row without part and price",
                    )
                )
            continue
        if key_of(part) in own.labels:
            continue
        if not part:
            part = above
            if not part or read.state == "words":
                continue
        match = own.known.find(part)
        number = match.part if match else part
        above = number
        doubts: list[tuple[str, str]] = []
        if own.known.numbers and (not match or match.sure < 0.9):
            doubts.append(("R018", f"'{part}' is not a part of the request"))
        count = amount(at(sheet.QUANTITY))
        quantity = (
            int(count.values[0])
            if len(count.values) == 1 and count.values[0] % 1 == 0 and count.values[0] > 0
            else 0
        )
        if text(sheet.EXCEPTIONS):
            exceptions.append(
                TakenException(
                    part=number,
                    text=text(sheet.EXCEPTIONS)[:500],
                    place=own.place(at(sheet.EXCEPTIONS)),
                )
            )
        reason = text(sheet.DECLINED)
        if read.state in ("blank", "declined", "dash", "later"):
            if reason or read.state in ("declined", "dash"):
                if not any(d.part == number for d in declined):
                    declined.append(
                        Declined(
                            part=number,
                            reason=(reason or (price_cell.text if price_cell else ""))[:300],
                            place=own.place(at(sheet.DECLINED) or price_cell),
                        )
                    )
            elif read.state == "later":
                own.say(
                    "R037",
                    f"{number}: '{price_cell.text if price_cell else ''}' stands in place of the price; ask for it.",
                    price_cell,
                    subject=number,
                )
            continue
        each = own.number(price_cell, "the unit price", number)
        if each is None:
            doubts.append(("", ""))
        if not quantity:
            doubts.append(("R017", f"the quantity '{text(sheet.QUANTITY)}' is no whole number"))
        code = currency
        own_currency = currencies_in(text(sheet.CURRENCY), beside_number=True)
        if read.currencies and own_currency and not set(read.currencies) & set(own_currency):
            doubts.append(
                (
                    "R015",
                    f"the cell says {read.currencies[0]}, the currency column {own_currency[0]}",
                )
            )
        if text(sheet.CURRENCY):
            code = own_currency[0] if len(own_currency) == 1 else ""
        elif read.currencies and not code:
            code = read.currencies[0] if len(read.currencies) == 1 else ""
        if not code:
            doubts.append(("R015", "no currency is stated; ask for it"))
        elif len(read.currencies) == 1 and read.currencies[0] != code and not own_currency:
            doubts.append(
                ("R015", f"the cell says {read.currencies[0]}, the sheet {code}; ask which")
            )
        total_cell = at(sheet.LINE_TOTAL)
        total_read = amount(total_cell)
        total = (
            total_read.values[0] if len(total_read.values) == 1 and not total_read.state else None
        )
        if (
            each is not None
            and quantity
            and total is not None
            and not extends_to(
                round(each, 4) if each % 1 else each + Decimal("0.00"),
                quantity,
                total,
                code or "EUR",
            )
        ):
            doubts.append(
                ("R012", f"{quantity} x {each} isn't the line total {total}; ask which is right")
            )
        if each is not None and each <= 0:
            doubts.append(
                ("R023", "the price is nought or negative; ask whether the part is quoted")
            )
        once = own.number(at(sheet.ONE_OFF), "the one-off charge", number)
        if once is None and amount(at(sheet.ONE_OFF)).state not in ("blank", "dash", "included"):
            doubts.append(("", ""))
        if reason:
            doubts.append(
                (
                    "R037",
                    f"a price and a reason for declining ('{reason[:60]}') stand in the row; ask which stands",
                )
            )
        if read.base not in ("", "1"):
            doubts.append(
                (
                    "R022",
                    f"the cell says per {read.base}, the sheet asks for the price of one piece",
                )
            )
        net, state = each, terms.values.get("tax", "not stated")
        percent = terms.values.get("tax_percent")
        if state == "included":
            if percent is None:
                doubts.append(("R016", "tax is inside the price and its rate isn't stated"))
            elif each is not None:
                net = each / (1 + percent / 100)
        asked = own.known.numbers.get(number, "")
        revision = text(sheet.REVISION) or asked
        if asked and revision.upper() != asked.upper():
            doubts.append(("R020", f"the price is for revision {revision}, asked was {asked}"))
        for problem, words in doubts:
            if problem:
                own.say(problem, f"{number} at {quantity}: {words}.", price_cell, subject=number)
        lead = _lead(text(sheet.LEAD_TIME), key_of(text(sheet.LEAD_FROM)))
        material = text(sheet.MATERIAL)
        prices.append(
            Price(
                part=number, revision=revision, quantity=quantity or 1, printed=each, per="1",
                each=net if net is not None and net >= 0 else None, currency=code, tax=state, tax_percent=percent,
                one_off=once if once is not None and once >= 0 else None, one_off_name=text(sheet.ONE_OFF_FOR)[:200],
                line_total=total, lead=text(sheet.LEAD_TIME)[:100],
                lead_days=None if lead is None or lead.until else lead.amount * 7 if lead.unit == "weeks" else -(-lead.amount * 7 // 5) if lead.unit == "working days" else lead.amount,
                material=material[:100], place=own.place(price_cell), sure=not doubts,
                evidence="response sheet",
            )
        )  # fmt: skip
        own.cells.append(
            DraftCell(
                place=own.place(price_cell),
                raw=price_cell.text if price_cell else "",
                meaning="unit price",
                understood=f"{each} each at {quantity}",
                sure=0.0 if doubts else 1.0,
            )
        )
    return prices, declined, exceptions


def _missing(own: FilledSheet, prices: list[Price], declined: list[Declined]) -> None:
    answered = {p.part for p in prices} | {d.part for d in declined}
    if not answered:
        return
    seen: dict[tuple[str, int], Price] = {}
    for index, price in enumerate(prices):
        other = seen.setdefault((price.part, price.quantity), price)
        if other is not price and other.each != price.each:
            for one in (other, price):
                own.problems.append(
                    Problem(
                        "R021",
                        f"{price.part} at {price.quantity} stands twice, at {other.each} and at {price.each}; ask which stands.",
                        one.place,
                        Severity.ASK,
                        subject=price.part,
                    )
                )
            prices[index] = price.model_copy(update={"sure": False})
            prices[prices.index(other)] = other.model_copy(update={"sure": False})
    for number in own.known.quantities:
        if number not in answered:
            own.say(
                "R036",
                f"{number} was asked for and has no price in this sheet.",
                None,
                Severity.NOTE,
                number,
            )


def _breakdowns(own: FilledSheet) -> tuple[Breakdown, ...]:
    grid = own.breakdown
    if grid is None:
        return ()
    names = {
        key_of(n): n
        for n in (
            sheet.BREAKDOWN_PART,
            sheet.BREAKDOWN_QUANTITY,
            *sheet.BREAKDOWN_COLUMNS,
            sheet.BREAKDOWN_HOURS,
        )
    }
    head = max(
        grid.rows,
        key=lambda r: sum(key_of(c.text) in names for c in grid.rows[r].values()),
        default=0,
    )
    columns = {
        names[key_of(c.text)]: i
        for i, c in grid.rows.get(head, {}).items()
        if key_of(c.text) in names
    }
    out = []
    for r in sorted(n for n in grid.rows if n > head):
        row = grid.rows[r]
        part = row[columns[sheet.PART]].text.strip() if columns.get(sheet.PART, -1) in row else ""
        count: Amount = amount(row.get(columns.get(sheet.QUANTITY, -1)))
        elements = {
            name: read.values[0] for name in sheet.BREAKDOWN_COLUMNS
            if len((read := amount(row.get(columns.get(name, -1)))).values) == 1 and read.values[0] >= 0
        }  # fmt: skip
        hours = amount(row.get(columns.get(sheet.BREAKDOWN_HOURS, -1)))
        if part and elements and len(count.values) == 1 and count.values[0] > 0:
            match = own.known.find(part)
            out.append(
                Breakdown(
                    part=match.part or part, quantity=int(count.values[0]), elements=elements,
                    hours=hours.values[0] if len(hours.values) == 1 and hours.values[0] >= 0 else None,
                    place=own.place(row[columns[sheet.PART]], grid),
                )
            )  # fmt: skip
    return tuple(out)
