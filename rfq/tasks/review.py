"""Review a draft: its own cells as a sheet, corrections by a person, whose reply it is."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path
from typing import Literal, cast

from rfq.intake import correct
from rfq.model.codes import PriceBase
from rfq.model.draft import Draft, DraftCell
from rfq.model.quote import Price
from rfq.problems import Place, Problem, Severity
from rfq.store.names import key_of
from rfq.store.save import changes
from rfq.tasks.done import Done, Stopped
from rfq.tasks.open import Opened, moment_of, request_of

Scope = Literal["one", "column", "all"]

#: Price bases a person can choose between.
BASES = ("1", "10", "100", "1000", "dozen", "lot", "kg")
#: Meanings a column can be given.
MEANINGS = (
    "part", "revision", "name", "quantity", "unit price", "total", "one-off", "lead time",
    "currency", "per", "material", "minimum quantity", "weight", "note", "",
)  # fmt: skip
#: Files that may be a reply, by ending.
REPLY_ENDINGS = frozenset(
    [
        "xlsx",
        "xlsm",
        "xls",
        "xlsb",
        "ods",
        "csv",
        "tsv",
        "txt",
        "pdf",
        "eml",
        "msg",
        "xml",
        "html",
        "htm",
    ]
)


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table or page of a reply as it stands in the file.

    Args:
        name: sheet or page. cells: by row and column, from 1.
    """

    name: str
    cells: dict[tuple[int, int], DraftCell] = field(default_factory=dict)

    @property
    def rows(self) -> tuple[int, ...]:
        """The rows that hold something."""
        return tuple(sorted({row for row, _ in self.cells}))

    @property
    def columns(self) -> int:
        """How many columns it has."""
        return max((column for _, column in self.cells), default=0)


def sheets_of(draft: Draft) -> tuple[Sheet, ...]:
    """Return the reply's own cells by sheet or page; what has no address stands line by line."""
    found: dict[str, Sheet] = {}
    for cell in draft.cells:
        place = cell.place
        name = place.sheet or (f"page {place.page}" if place.page else "")
        sheet = found.setdefault(name, Sheet(name))
        address = re.fullmatch(r"([A-Z]+)(\d+)", place.cell)
        if address:
            at = (int(address[2]), column_number(address[1]))
        else:
            at = (max((row for row, _ in sheet.cells), default=0) + 1, 1)
        sheet.cells[at] = cell
    return tuple(found.values())


def column_number(letters: str) -> int:
    """Return the number of a column's letters, from 1.

    >>> column_number("A"), column_number("AB")
    (1, 28)
    """
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number


def column_letters(number: int) -> str:
    """Return the letters of a column's number.

    >>> column_letters(28)
    'AB'
    """
    out = ""
    while number:
        number, rest = divmod(number - 1, 26)
        out = chr(65 + rest) + out
    return out


def where_of(price: Price, scope: Scope) -> correct.Where:
    """Return what a correction reaches: this price, its column, or all."""
    if scope == "all":
        return None
    if scope == "one" or not price.place.cell:
        return price.place
    return f"{price.place.sheet}!{re.sub(r'[0-9]', '', price.place.cell)}"


def set_price(here: Opened, draft: Draft, price: Price, typed: str) -> Done[Draft]:
    """Store the draft with one price typed anew: net, for one piece."""
    reading = correct.set_price(draft, price.place, typed)
    if reading.value is None:
        raise Stopped(reading.problems)
    return _keep(here, reading.value, f"price of {price.part} at {price.quantity} typed")


def confirm_price(here: Opened, draft: Draft, price: Price) -> Done[Draft]:
    """Store the draft with one price confirmed as read."""
    if price.each is None or not price.currency:
        raise Stopped(
            (Problem("R070", f"{price.part} at {price.quantity} has no figure with a currency yet; "
                     "type it.", price.place),)
        )  # fmt: skip
    return _keep(
        here, correct.confirm(draft, price.place), f"{price.part} at {price.quantity} confirmed"
    )


def set_base(here: Opened, draft: Draft, price: Price, base: str, scope: Scope) -> Done[Draft]:
    """Store the draft with the price base of one price, its column, or all set."""
    new = correct.set_base(draft, cast(PriceBase, base), where_of(price, scope))
    return _keep(here, new, f"price base {base} ({scope})")


def set_currency(here: Opened, draft: Draft, price: Price, code: str, scope: Scope) -> Done[Draft]:
    """Store the draft with a currency set."""
    try:
        new = correct.set_currency(draft, code, where_of(price, scope))
    except ValueError as wrong:
        raise Stopped((Problem("R071", f"{wrong}.", price.place),)) from None
    return _keep(here, new, f"currency {code} ({scope})")


def set_tax(
    here: Opened, draft: Draft, price: Price, percent: Decimal | None, scope: Scope
) -> Done[Draft]:
    """Store the draft with tax inside the printed prices (a rate), or outside (None)."""
    state: Literal["included", "excluded"] = "included" if percent is not None else "excluded"
    new = correct.set_tax(draft, state, percent, where_of(price, scope))
    return _keep(here, new, f"tax {state} ({scope})")


def set_quantity(here: Opened, draft: Draft, price: Price, quantity: int) -> Done[Draft]:
    """Store the draft with the quantity of one price set."""
    new = correct.set_quantity(draft, price.place, quantity)
    return _keep(here, new, f"quantity {quantity} of {price.part}")


def match_part(here: Opened, draft: Draft, printed: str, part: str) -> Done[Draft]:
    """Store the draft with a part as printed matched to one of the request."""
    known = here.project.parts.get(part)
    new = correct.match_part(draft, printed, part, known.revision if known else "")
    return _keep(here, new, f"{printed} matched to {part}")


def leave_out(here: Opened, draft: Draft, price: Price) -> Done[Draft]:
    """Store the draft without one price."""
    return _keep(
        here, correct.leave_out(draft, price.place), f"{price.part} at {price.quantity} left out"
    )


def answer_question(here: Opened, draft: Draft, problem: Problem, answer: str) -> Done[Draft]:
    """Store the draft with a question answered that concerns no figure."""
    new = correct.settle_question(draft, problem.code, problem.place, answer)
    return _keep(here, new, f"{problem.code} answered: {answer}")


def remap_column(here: Opened, draft: Draft, sheet: str, column: str, meaning: str) -> Done[Draft]:
    """Store the draft read anew with one column meaning something else."""
    shop = here.project.shops.get(draft.shop)
    new = correct.remap_column(
        draft, sheet, column, meaning,
        request=request_of(here.project, draft.request), parts=here.project.parts,
        shop_currency=shop.currency if shop else "",
    )  # fmt: skip
    kept = {"request": draft.request, "round": draft.round, "number": draft.number}
    new = new.model_copy(update={**kept, "revision": new.revision or draft.revision})
    return _keep(here, new, f"column {column} is {meaning or 'nothing'}")


def assign_shop(here: Opened, draft: Draft, shop: str) -> Done[Draft]:
    """Store the draft as the reply of a shop."""
    if shop not in here.project.shops:
        raise Stopped((Problem("R101", f"there is no shop '{shop}'.", Place(draft.file)),))
    mine = [
        one.number
        for one in here.project.drafts
        if (one.request, one.round, one.shop) == (draft.request, draft.round, shop)
    ]
    new = draft.model_copy(
        update={"shop": shop, "shop_confidence": 1.0, "number": max(mine, default=0) + 1}
    )
    with changes(
        here.folder, "shop of a reply said", project=here.project, file=draft.file,
        sha256=draft.sha256, detail=shop, at=moment_of(here.project),
    ) as change:  # fmt: skip
        change.drop(key_of(draft, number=draft.number))
        change.put(new, key=key_of(new, number=new.number))
    return Done(new, (), change.written)


def questions_of(draft: Draft) -> tuple[Problem, ...]:
    """Return what has to be settled before the draft can be accepted, in the order of the file."""
    asked = [one for one in draft.problems if one.severity is not Severity.NOTE]
    told = {one.place for one in asked}
    for price in draft.prices:
        if (not price.sure or price.each is None) and price.place not in told:
            asked.append(
                Problem("R104", f"{price.part} at {price.quantity}: "
                        f"{price.evidence or 'not sure'}", price.place, subject=price.part)
            )  # fmt: skip
    return tuple(asked)


def candidates(here: Opened) -> tuple[Path, ...]:
    """Return files that may be replies: in the project's incoming folder and the present one."""
    found: dict[str, Path] = {}
    for home in (here.folder / "incoming", Path.cwd()):
        if not home.is_dir():
            continue
        for path in sorted(home.iterdir()):
            if path.is_file() and path.suffix.lower().lstrip(".") in REPLY_ENDINGS:
                found.setdefault(str(path.resolve()), path)
    return tuple(found.values())


def _keep(here: Opened, draft: Draft, detail: str) -> Done[Draft]:
    with changes(
        here.folder, "draft corrected", project=here.project, file=draft.file,
        sha256=draft.sha256, detail=detail, at=moment_of(here.project),
    ) as change:  # fmt: skip
        change.put(draft, key=key_of(draft, number=draft.number))
    return Done(draft, (), change.written)
