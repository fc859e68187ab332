# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""What the headings of a table say: meaning, quantity of a break, price base, currency, tax."""

from __future__ import annotations

import re

from rfq.intake.grid import Grid
from rfq.intake.lexicon import Lexicon, normal
from rfq.intake.money import PIECE, base_in, currencies_in, tax_in
from rfq.intake.numbers import figure, plain_digits
from rfq.intake.table import PRICES, TOTALS, Column

_HEAD_WORD = (
    r"(?:ab|from|at|@|bei|für|for|qty\.?|quantity|menge|stückzahl|stückz\.?|losgröße|losgrösse|lot size|lot|los|lotto|lote|batch"
    r"|q(?:té|te|tà|tity)?\.?|cant\.?|da|od|przy|dla|à partir de|dès|desde|a partir de|por|per|pour|za|ilość|cantidad|quantità|quantité|pour une qté de|≥|>=|x|n\s*=|数量|批量)"
)


_BREAK = re.compile(
    rf"(?<![\w.,])(?P<lead>{_HEAD_WORD}\s*[:=]?\s*(?:de\s+|von\s+|of\s+|di\s+)?)?(?P<number>\d{{1,3}}(?:[.,'’\u00a0 ]\d{{3}})+|\d+)"
    rf"(?P<tail>\s*(?:\+|x(?=\s*$)|[-–]\s*\d+|\s(?:to|bis|à|a|do)\s\d+|以上))?\s*(?P<piece>{PIECE}|ex\.|up|and up)?(?![\w.])",
    re.IGNORECASE,
)


def heading_quantity(text: str) -> int:
    """Return the quantity a heading names for its prices, 0 where it names none.

    >>> heading_quantity("ab 50 Stück"), heading_quantity("Price @ 1,000 pcs")
    (50, 1000)
    >>> heading_quantity("Preis € / 100 Stück"), heading_quantity("10"), heading_quantity("Rev 2")
    (0, 10, 0)
    """
    plain = plain_digits(text).strip()
    if re.fullmatch(r"\d+(?:\.0)?", plain):
        return int(plain.split(".")[0]) if int(plain.split(".")[0]) <= 10_000_000 else 0
    if plain.startswith("="):
        return 0
    best = 0
    for match in _BREAK.finditer(plain):
        before = plain[: match.start()].rstrip()
        lead = (match["lead"] or "").strip().lower()
        if not (lead or match["tail"] or match["piece"]) and match[0].strip() != plain:
            continue
        if before.endswith("/") or re.search(r"(?i)(?<!\w)(?:je|pro|every|每|/)\s*$", before):
            continue
        if lead in ("per", "por", "za", "pour", "al") and not match["tail"]:
            continue  # 'per 100' is a price base
        read = figure(match["number"])
        whole = [int(v) for v in read.values if v == v.to_integral_value() and v > 0]
        if whole:
            best = max(whole)
            break
    return best if best <= 10_000_000 else 0


def _spread(grid: Grid, row: int, words: Lexicon) -> dict[int, str]:
    """A heading row's texts; a merged or open group heading stands over all its columns."""
    texts = {
        c: cell.text.strip()
        for c, cell in grid.rows.get(row, {}).items()
        if c not in grid.hidden_columns and cell.text.strip()
    }
    for r1, c1, r2, c2 in grid.merges:
        if r1 <= row <= r2:
            text = grid.text(r1, c1)
            if text:
                for c in range(c1, min(c2, c1 + 60) + 1):
                    texts.setdefault(c, text)
    return texts


def _meaning(text: str, words: Lexicon) -> str:
    """What a heading means; 'cena za 100 szt.' holds prices, 'cena za' alone their base."""
    meaning = words.read(text).meaning
    based = meaning == "price base" and base_in(text) in ("10", "100", "1000", "kg")
    return "unit price" if based else meaning


def _open_spread(upper: dict[int, str], lower: dict[int, str], words: Lexicon) -> dict[int, str]:
    """A price heading over blank cells also heads the quantities below them (CSV has no merges)."""
    spread = dict(upper)
    for c in sorted(upper):
        meaning = _meaning(upper[c], words)
        based = _base_above(upper[c], lower.get(c, ""))
        if meaning not in (*PRICES, *TOTALS, "quantity"):
            continue
        if heading_quantity(upper[c]) and not based:
            continue
        n = c + 1
        while (
            n not in upper
            and n in lower
            and (heading_quantity(lower[n]) or words.read(lower[n]).meaning == "")
        ):
            spread[n] = upper[c]
            n += 1
    return spread


def _column(index: int, parts: list[str], words: Lexicon) -> Column:
    """What one column's heading (its rows from top to bottom) means."""
    texts = list(dict.fromkeys(part for part in parts if part))
    joined = " ".join(texts)
    column = Column(index, heading=joined)
    if not joined:
        return column
    best = words.read(joined)
    for text in reversed(texts):
        read = words.read(text)
        if len(texts) > 1 and read.sure > best.sure + 0.02:
            best = read
    if len(texts) > 1:
        lowest = words.read(texts[-1])
        # 'Artikel' over 'Zeichnung | Index': the lower word says which
        if lowest.meaning and lowest.sure >= 0.9 and not heading_quantity(texts[-1]):
            upper = words.read(texts[0])
            specific = lowest.meaning not in ("quantity", "unit", "currency", "price base", "price")
            if specific or upper.meaning not in (*PRICES, *TOTALS):
                best = lowest
    column.meaning, column.sure = best.meaning, best.sure
    column.base = base_in(joined)
    if column.meaning == "price base" and column.base in ("10", "100", "1000", "kg"):
        column.meaning = "unit price"  # 'cena za 100 szt.' holds prices; 'cena za' alone the base
    column.currencies = currencies_in(joined)
    column.tax, column.tax_percent = tax_in(joined)
    if column.tax == "included" and not column.tax_percent:
        rate = re.search(r"\(\s*(\d{1,2}(?:[.,]\d)?)\s*%\s*\)", joined)  # 'gross price (19 %)'
        column.tax_percent = rate[1].replace(",", ".") if rate else ""
    quantity = heading_quantity(texts[-1]) or (
        heading_quantity(joined) if len(texts) < 2 or words.read(joined).meaning in PRICES else 0
    )
    # 'Unit price' over '1' is the break at one piece, and no price base
    # and so is '100' below 'Price per 100 pcs', where the upper heading gives the base
    lowest_text = texts[-1].strip()
    alone = len(texts) > 1 and (
        (quantity == 1 and re.fullmatch(rf"(?i)1\s*{PIECE}?", lowest_text))
        or (
            base_in(texts[0]) == str(quantity)
            and re.fullmatch(rf"(?i){quantity}\s*(?:{PIECE})?\.?", lowest_text)
        )
    )
    if quantity and (alone or not column.base_is(quantity)):
        only_number = normal(texts[-1]).replace(" ", "")
        if column.meaning in (*PRICES, *TOTALS):
            column.quantity = quantity
        elif column.meaning in ("", "quantity", "position", "unit") and (
            len(texts) > 1 and _meaning(texts[0], words) in (*PRICES, *TOTALS)
        ):
            column.meaning, column.sure = _meaning(texts[0], words), 0.9
            column.quantity = quantity
        elif column.meaning in ("", "quantity") and (
            only_number.isdigit() or _BREAK.search(plain_digits(joined))
        ):
            column.meaning, column.sure, column.quantity = "break", 0.6, quantity
        if column.quantity and column.base == str(quantity) and not (alone and quantity > 1):
            column.base = ""
        if column.quantity and len(texts) > 1 and not column.base:
            column.base = _base_above(texts[0], texts[-1])
    if column.meaning == "unit" and column.currencies:
        column.meaning, column.sure = "unit price", 0.7  # 'EUR/unit'
    if not column.meaning and column.currencies and len(joined) < 25:
        column.meaning, column.sure = "price", 0.55  # a bare 'EUR'
    if column.meaning in ("price", "unit price"):
        if column.base == "lot":
            column.meaning = "lot price"
        elif column.base == "kg":
            column.meaning = "kg price"
    if column.meaning in ("unit price", "price", "lot price") and column.tax == "included":
        column.meaning = "gross price"
    if column.meaning == "total" and column.tax == "included":
        column.meaning = "gross total"
    if column.meaning == "total" and column.base == "lot":
        column.meaning = "lot price"
    return column


def _base_above(upper: str, lowest: str) -> str:
    """The base that 'price for 100 pcs' gives where quantities of their own stand below it."""
    stated = str(heading_quantity(upper))
    told = re.search(
        r"(?i)(?:for|für|fuer|pour|per|por|za|je|pro|cada|每)\s*\d", plain_digits(upper)
    )
    return stated if told and stated in ("10", "100", "1000") and heading_quantity(lowest) else ""


WEIGHT = {
    "part": 3.0, "shop part": 2.0, "name": 1.5, "quantity": 2.5, "unit price": 3.0, "price": 2.5,
    "lot price": 3.0, "gross price": 3.0, "kg price": 3.0, "total": 2.0, "gross total": 2.0,
    "amount": 1.5, "break": 1.5, "position": 1.0, "revision": 1.5, "one-off": 1.5,
}  # fmt: skip


def head_columns(grid: Grid, rows: tuple[int, ...], words: Lexicon) -> dict[int, Column]:
    """Return the columns that these heading rows make together."""
    spread = [_spread(grid, row, words) for row in rows]
    for i in range(len(spread) - 1):
        spread[i] = _open_spread(spread[i], spread[i + 1], words)
    indices = sorted({c for texts in spread for c in texts})
    return {c: _column(c, [texts.get(c, "") for texts in spread], words) for c in indices}


def head_score(columns: dict[int, Column]) -> float:
    """How much a set of headings looks like the head of a price table; 0: not at all."""
    meanings = [c.meaning for c in columns.values() if c.meaning]
    breaks = sum(c.meaning == "break" or bool(c.quantity) for c in columns.values())
    priced = any(m in PRICES or m in TOTALS for m in meanings) or breaks >= 2
    named = any(m in ("part", "shop part", "name") for m in meanings)
    counted = "quantity" in meanings or "position" in meanings
    one_off = "one-off" in meanings and any(m in ("part", "shop part") for m in meanings)
    if not ((priced and (named or counted)) or one_off):
        return 0.0
    score = 0.0
    seen: set[tuple[str, int]] = set()
    for column in columns.values():
        weight = WEIGHT.get(column.meaning, 0.7 if column.meaning else -0.2)
        again = (column.meaning, column.quantity) in seen
        if again or (column.meaning in (m for m, _ in seen) and not column.quantity):
            weight *= 0.4
        seen.add((column.meaning, column.quantity))
        score += weight * (column.sure if column.meaning else 1.0)
        if column.quantity and column.meaning in PRICES and not again:
            score += 0.8
    return max(score, 0.0)
