"""What makes a price doubtful though its number is plain: other money units, packs, marks, bases.

Arithmetic may agree in all these cases (five packs at 125 are 625), so it settles few of them.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from rfq.intake.grid import Cell
from rfq.intake.money import PIECE

if TYPE_CHECKING:
    from rfq.intake.row import Row
    from rfq.intake.settled import Settled

_ROUND = frozenset(("10", "100", "1000"))
_SMALL_MONEY = re.compile(
    r"(?i)(?<![\w/])(?:in\s+)?(?:euro?|us|€|\$)?[- ]?"
    r"(?:cents?|ct\.?|cts|centimes?|c[ée]ntimos|centavos|centesimi|pence|groszy|grosze|rappen"
    r"|k€|keur|teur|t€|kusd|tusd|k\$|thousands?|tsd\.?|千元|万元|分)(?!\w)"
)
_PACK = re.compile(
    r"(?i)(?<!\w)(?:packs?|packets?|pkts?|packages?|pkg|packung(?:en)?|pack?et|vpe|box(?:es)?|cartons?|kartons?"
    r"|sets?|sätze|satz|pairs?|paare?|paires?|coppi[ae]|pares?|par(?=$)|para|pary|kits?|jeux?|jeu"
    r"|confezion[ei]|scatol[ae]|cajas?|opak(?:owanie|\.)?|kpl\.?|盒|包|套|对)(?!\w)"
)
_LENGTH_OR_MASS = re.compile(
    r"(?i)^(?:kg|kgs|kilo\w*|g|t|to|tons?|m|mtr|met(?:er|re|ry)s?|公斤|米)\.?$"
)


_NOT_FIRM = re.compile(
    r"(?i)^\W*(?:from|starting|ab|à partir de|dès|da|a partire da|desde|a partir de|od|ca\.?"
    r"|approx\w*\.?|about|circa|environ|env\.?|aprox\w*\.?|około|ok\.?|etwa|~|≈|min\.?|max\.?"
    r"|up to|bis(?: zu)?|estimat\w*|约|起)\W*$"
)
_ONLY_FOR = re.compile(
    r"(?i)\b(?:only|valid|provided|if|nur|gültig|sofern|seulement|valable|solo|soltanto|valid[oa]|tylko|ważn[ae])\b"
    rf"[^.;]{{0,40}}?\d+\s*{PIECE}|\d+\s*{PIECE}[^.;]{{0,20}}\b(?:only|nur|seulement|solo|tylko)\b"
)


def doubts_of(row: Row, item: Settled, cell: Cell | None, own_base: str) -> list[tuple[str, str]]:
    """Return (problem code, words) for all that is to be asked about an otherwise plain price."""
    out = []
    base = doubtful_base(row, item, cell, own_base)
    if base:
        out.append(("R022", base))
    heading = item.offer.column.heading
    shown = heading.strip()[:40]
    if _SMALL_MONEY.search(heading) or (cell is not None and _SMALL_MONEY.search(cell.text)):
        out.append(
            ("R022", f"'{shown or 'the cell'}' may mean cents or thousands; ask for the unit")
        )
    unit = row.by.get("unit")
    texts = [heading, item.offer.amount.words, *([unit.text] if unit is not None else [])]
    pack = next((found[0] for text in texts if (found := _PACK.search(text or ""))), "")
    if pack and item.base in ("1", ""):
        out.append(
            ("R022", f"the price seems to be for a {pack.strip()}; ask how many pieces that is")
        )
    measured = unit is not None and _LENGTH_OR_MASS.match(unit.text.strip())
    if unit is not None and measured and item.base in ("1", ""):
        shown = unit.text.strip()[:20]
        words = f"the unit is '{shown}' and not the piece; ask for the price of one piece"
        out.append(("R030", words))
    words = item.offer.amount.words
    if words and _NOT_FIRM.match(words):
        out.append(
            ("R010", f"'{words.strip()[:20]}' beside the figure says that it isn't firm; ask")
        )
    note = row.by.get("note")
    if note is not None and _ONLY_FOR.search(note.text):
        out.append(("R031", f"the remark says '{note.text.strip()[:60]}'; settle it with the shop"))
    counted = _rival_quantities(row, item)
    if counted:
        out.append(("R017", counted))
    return out


def _rival_quantities(row: Row, item: Settled) -> str:
    """Two columns of quantities that differ, and no total that says which one counts."""
    if any("=" in words for words in item.evidence) or item.offer.column.quantity:
        return ""
    table = row.table
    columns = [c for c in table.by("quantity") if not c.quantity]
    prices = [
        c for c in table.by("unit price", "price", "gross price", "lot price") if not c.quantity
    ]
    if len(columns) < 2 or len(prices) != 1:
        return ""
    own = table.grid.rows.get(row.number, {})
    texts = {c.heading: own[c.index].text.strip() for c in columns if c.index in own}
    if len(set(texts.values())) < 2:
        return ""
    listed = ", ".join(f"{name[:25]} {text[:12]}" for name, text in list(texts.items())[:3])
    return f"several quantities stand in the row ({listed}); say for which one the price is"


def doubtful_base(row: Row, item: Settled, cell: Cell | None, base: str) -> str:
    """What is to be asked where a price may be of more pieces than is plainly said; '' for none.

    A lone sign beside the figure ('%', 'C' for a hundred) may as well be a slip; and a column of
    1, 10, 100 under a heading that is not understood may hold the pieces a price is for.
    """
    if cell is not None and item.base in ("100", "1000"):
        beside = re.sub(r"[\d.,'’\s-]", "", cell.text)
        if re.fullmatch(r"(?i)[%‰cm]", beside) and item.base != base:
            shown = cell.text.strip()[:60]
            return f"'{shown}' was read as a price per {item.base}; ask what is meant"
    if item.base not in ("", "1") or any("=" in words for words in item.evidence):
        return ""
    grid, table = row.table.grid, row.table
    own = grid.rows.get(row.number, {})
    for column in table.columns.values():
        here = own.get(column.index)
        counted = row.by.get("quantity")
        used = any(offer.quantity_cell is here for offer in row.offers)
        spare = column.meaning == "other quantity" or (
            column.meaning == "quantity"
            and counted is not None
            and counted is not here
            and not used
        )
        if here is None or here.text.strip() not in _ROUND or (column.meaning and not spare):
            continue
        rows = (grid.rows.get(r, {}) for r in range(table.first, table.last + 1))
        texts = [one[column.index].text.strip() for one in rows if column.index in one]
        if sum(text in _ROUND or text in ("1", "") for text in texts) >= 0.8 * len(texts):
            name = column.heading.strip()[:40]
            return (
                f"the column '{name}' holds {here.text.strip()} and its heading is not understood; "
                "say whether the price is for so many pieces"
            )
    return ""
