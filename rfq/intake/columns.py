# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Tables in a grid: where the headings stand, what each column means, where the rows end.

Headings may take up to three rows, be merged, name a quantity ('ab 50 Stück'), a price base, a
currency or tax. Without headings the cells themselves decide (part numbers, quantities,
quantity x price = total).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import pairwise

from rfq.intake.cells import amount
from rfq.intake.grid import Grid
from rfq.intake.lexicon import Lexicon, normal
from rfq.intake.matching import Known
from rfq.intake.money import PIECE, base_in, currencies_in, tax_in
from rfq.intake.numbers import figure, plain_digits

PRICES = ("unit price", "price", "lot price", "gross price", "kg price")
TOTALS = ("total", "amount", "gross total")
PARTS = ("part", "shop part", "name")
_HEAD_WORD = (
    r"(?:ab|from|at|@|bei|für|for|qty\.?|quantity|menge|stückzahl|stückz\.?|losgröße|losgrösse|lot size|lot|los|lotto|lote|batch"
    r"|q(?:té|te|tà|tity)?\.?|cant\.?|da|od|przy|dla|à partir de|dès|desde|a partir de|por|per|pour|za|ilość|cantidad|quantità|quantité|pour une qté de|≥|>=|x|n\s*=|数量|批量)"
)
_BREAK = re.compile(
    rf"(?<![\w.,])(?P<lead>{_HEAD_WORD}\s*[:=]?\s*(?:de\s+|von\s+|of\s+|di\s+)?)?(?P<number>\d{{1,3}}(?:[.,'’\u00a0 ]\d{{3}})+|\d+)"
    rf"(?P<tail>\s*(?:\+|x(?=\s*$)|[-–]\s*\d+|\s(?:to|bis|à|a|do)\s\d+|以上))?\s*(?P<piece>{PIECE}|ex\.|up|and up)?(?![\w.])",
    re.IGNORECASE,
)


@dataclass(slots=True)
class Column:
    """One column of a table."""

    index: int
    meaning: str = ""
    sure: float = 0.0
    heading: str = ""
    quantity: int = 0  # of a price break in the heading
    base: str = ""
    currencies: tuple[str, ...] = ()
    tax: str = ""
    tax_percent: str = ""

    def base_is(self, quantity: int) -> bool:
        """Whether the number in the heading is its price base and no break."""
        if re.fullmatch(rf"\s*\d+\s*{PIECE}\s*", self.heading, re.IGNORECASE):
            return False
        return self.base == str(quantity) and not re.search(
            rf"(?i)(?<!\w)(?:ab|from|at|@|bei|qty|menge|for)\s*{quantity}",
            plain_digits(self.heading),
        )


@dataclass(slots=True)
class Table:
    """A table found in a grid."""

    grid: Grid
    head: tuple[int, ...]  # heading rows; empty where there are none
    first: int
    last: int
    columns: dict[int, Column] = field(default_factory=dict)
    title: str = ""  # text line right above
    unlabelled: bool = False  # figures stand in a column without a heading

    def by(self, *meanings: str) -> list[Column]:
        """Return the columns of these meanings, in order."""
        return [column for column in self.columns.values() if column.meaning in meanings]

    @property
    def confidence(self) -> float:
        """How sure the meanings of the columns that matter are."""
        sure = [c.sure for c in self.by(*PRICES, *TOTALS, "part", "shop part", "quantity")]
        return min(sure, default=0.0)


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


def _is_headish(grid: Grid, row: int, known: Known) -> bool:
    """Whether a row could be the second or third row of a heading."""
    cells = [c for i, c in grid.rows.get(row, {}).items() if i not in grid.hidden_columns]
    if not cells:
        return False
    for cell in cells:
        if cell.kind in ("f", "b", "d"):
            return False
        if cell.kind == "n":
            number = cell.number
            if number is None or number != number.to_integral_value() or number <= 0:
                return False
        elif known.find(cell.text, loose=False) or (
            re.search(r"\d[.,]\d{1,2}(?!\d)", cell.text)
            and not re.search(r"[a-z]{3}", cell.text, re.I)
        ):
            return False
    return True


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


_WEIGHT = {
    "part": 3.0, "shop part": 2.0, "name": 1.5, "quantity": 2.5, "unit price": 3.0, "price": 2.5,
    "lot price": 3.0, "gross price": 3.0, "kg price": 3.0, "total": 2.0, "gross total": 2.0,
    "amount": 1.5, "break": 1.5, "position": 1.0, "revision": 1.5, "one-off": 1.5,
}  # fmt: skip


def _head(grid: Grid, rows: tuple[int, ...], words: Lexicon) -> dict[int, Column]:
    spread = [_spread(grid, row, words) for row in rows]
    for i in range(len(spread) - 1):
        spread[i] = _open_spread(spread[i], spread[i + 1], words)
    indices = sorted({c for texts in spread for c in texts})
    return {c: _column(c, [texts.get(c, "") for texts in spread], words) for c in indices}


def _score(columns: dict[int, Column]) -> float:
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
        weight = _WEIGHT.get(column.meaning, 0.7 if column.meaning else -0.2)
        again = (column.meaning, column.quantity) in seen
        if again or (column.meaning in (m for m, _ in seen) and not column.quantity):
            weight *= 0.4
        seen.add((column.meaning, column.quantity))
        score += weight * (column.sure if column.meaning else 1.0)
        if column.quantity and column.meaning in PRICES and not again:
            score += 0.8
    return max(score, 0.0)


def find_tables(grid: Grid, words: Lexicon, known: Known) -> list[Table]:
    """Return the tables of a grid by their headings, from top to bottom."""
    rows = [r for r in sorted(grid.rows) if r not in grid.hidden_rows]
    heads: list[tuple[float, tuple[int, ...], dict[int, Column]]] = []
    position = 0
    promising = _promising(grid, rows, words)
    while position < len(rows):
        best: tuple[float, tuple[int, ...], dict[int, Column]] = (0.0, (), {})
        if position in promising:
            for depth in (1, 2, 3):
                block = tuple(rows[position : position + depth])
                if len(block) < depth or block[-1] - block[0] >= depth + 1:
                    break
                if depth > 1 and not _is_headish(grid, block[-1], known):
                    break
                if _is_data(grid, block[-1], known):
                    break
                if depth == 1 and not _mostly_text(grid, block[0]):
                    columns: dict[int, Column] = {}
                    score = 0.0
                else:
                    columns = _head(grid, block, words)
                    score = _score(columns)
                if score > best[0] + (0.9 if depth > 1 else 0.0):
                    best = (score, block, columns)
        if best[1]:
            heads.append(best)
            position += len(best[1])
        else:
            position += 1
    tables: list[Table] = []
    for number, (_, block, columns) in enumerate(heads):
        last = heads[number + 1][1][0] - 1 if number + 1 < len(heads) else (rows[-1] if rows else 0)
        for part in _side_by_side(columns):
            table = Table(grid, block, block[-1] + 1, last, part, _title(grid, block[0]))
            _refine(table, words, known)
            tables.append(table)
    return tables


def _promising(grid: Grid, rows: list[int], words: Lexicon) -> set[int]:
    """Positions of rows in which at least one cell reads as a heading that matters."""
    found: set[int] = set()
    cache: dict[str, bool] = {}
    for position, row in enumerate(rows):
        for c, cell in grid.rows[row].items():
            if cell.kind != "s" or c in grid.hidden_columns or len(cell.text) > 90:
                continue
            text = cell.text
            hit = cache.get(text)
            if hit is None:
                short = len(text) <= 60 and not re.search(
                    r"\d{2,}[-./]?\d{2,}|[:：]\s*[\w-]{0,9}[-– ]?\d{2,}", text
                )
                hit = cache[text] = short and words.read(text).meaning in _WEIGHT
            if hit:
                found.add(position)
                break
    return found


def _is_data(grid: Grid, row: int, known: Known) -> bool:
    """Whether a row holds a part number and a figure, or a price: then it is no heading."""
    cells = [c for i, c in grid.rows[row].items() if i not in grid.hidden_columns]
    named = any(
        c.kind == "s" and (looks_like_part(c.text) or known.find(c.text, loose=False))
        for c in cells
    )
    figures = 0
    for cell in cells:
        read = amount(cell)
        if read.values:
            figures += 1
            # '3.1 certificate EUR' is a heading and no figure
            if (
                read.values[0] % 1
                and len(cell.text) < 25
                and not re.search("[^\\W\\d]{5}", cell.text)
            ):
                return True
    return named and figures > 0


def _mostly_text(grid: Grid, row: int) -> bool:
    cells = [c for i, c in grid.rows[row].items() if i not in grid.hidden_columns]
    text = sum(
        cell.kind == "s" and not re.fullmatch(r"[\d.,\s€$£%-]+", cell.text) for cell in cells
    )
    numbers = [c for c in cells if c.kind == "n" or re.fullmatch(r"[\d.,\s]+", c.text)]
    whole = all((figure(c.text).values or (0.5,))[0] % 1 == 0 for c in numbers)
    return text >= 2 and (text >= len(cells) * 0.5 or (whole and text >= 2))


def _side_by_side(columns: dict[int, Column]) -> list[dict[int, Column]]:
    """Split headings that repeat: two tables beside each other, or blocks of a turned form."""
    groups: list[dict[int, Column]] = [{}]
    for index in sorted(columns):
        column = columns[index]
        group = groups[-1]
        has_part = any(c.meaning in ("part", "shop part", "name") for c in group.values())
        has_price = any(c.meaning in (*PRICES, *TOTALS, "break") for c in group.values())
        starts = column.meaning in ("part", "position") or (
            column.meaning in ("shop part", "name")
            and any(c.meaning == column.meaning for c in group.values())
        )
        repeats = any(c.meaning == column.meaning for c in group.values()) or (
            column.meaning == "position" and has_part
        )
        if starts and has_part and has_price and repeats:
            groups.append({})
        groups[-1][index] = column
    if len(groups) > 1 and not all(
        any(c.meaning in (*PRICES, *TOTALS) for c in group.values())
        and any(c.meaning in PARTS for c in group.values())
        for group in groups
    ):
        return [columns]
    return groups


def _title(grid: Grid, row: int) -> str:
    """Text of a lone cell in the two rows above a heading."""
    for above in (row - 1, row - 2):
        cells = [c for c in grid.rows.get(above, {}).values() if c.text.strip()]
        if len(cells) == 1 and cells[0].kind == "s" and len(cells[0].text) < 100:
            return cells[0].text
    return ""


def _refine(table: Table, words: Lexicon, known: Known) -> None:
    """Correct headings by what stands below them."""
    rows = [
        r for r in range(table.first, table.last + 1)
        if r in table.grid.rows and r not in table.grid.hidden_rows
    ][:60]  # fmt: skip
    plain = [c for c in table.by(*PRICES) if not c.quantity]
    breaks = len(table.by("break"))
    around = " ".join([table.title, *(c.heading for c in table.columns.values())])
    worded_prices = re.search(
        r"(?i)pri[cs]e|preis|prix|prezz|preci|cen[ay]|cost|quot|angebot|offer|价|報|€|\beur\b|\busd\b",
        around,
    )
    for column in table.by("break"):
        worded = words.read(re.sub(r"[\d.]+", "", column.heading)).meaning == "quantity"
        piece = re.fullmatch(rf"\W*\d+\W*{PIECE}\W*", column.heading, re.IGNORECASE)
        if plain and worded and not piece:
            column.meaning, column.quantity = "quantity", 0  # 'Qty 1 | Price 1 | Qty 2 | Price 2'
    single = [c for c in table.by(*PRICES) if c.quantity]
    if len(single) == 1 and single[0].quantity == 1 and table.by("quantity"):
        single[0].quantity = 0  # 'price of 1 pc' beside a column of quantities
    if len(single) == 1 and len(table.by(*PRICES)) == 1 and len(table.by("quantity")) == 1:
        _base_beside_quantities(single[0], table, rows)
    for column in table.columns.values():
        cells = [c for r in rows if (c := table.grid.cell(r, column.index)) is not None]
        numbers = [a for c in cells if (a := amount(c)).values]
        share = len(numbers) / len(cells) if cells else 0.0
        if column.meaning in ("material", "finish") and share > 0.6 and len(numbers) > 0:
            column.meaning = "element"
        elif (
            column.meaning in ("revision",)
            and share > 0.9
            and any(a.values[0] % 1 for a in numbers)
        ):
            column.meaning = ""
        elif column.meaning == "break":
            priced = sum(bool(a.values) for a in numbers)
            column.meaning = "unit price" if priced else ""
            # one number alone over a column is hardly a price break
            # bare numbers over columns, with no word of a price anywhere, are a guess
            told = (
                worded_prices
                or re.search(r"[^\W\d]", column.heading)
                or any(a.currencies for a in numbers)
            )
            column.sure = (
                0.7
                if told and (breaks > 1 or column.heading.strip() != str(column.quantity))
                else 0.5
            )
        elif column.meaning == "total" and cells and share < 0.2 and len(cells) > 2:
            column.meaning = ""
        elif column.meaning == "unit" and share > 0.7 and any(a.values[0] % 1 for a in numbers):
            column.meaning, column.sure = "unit price", 0.6
        elif column.meaning == "lead" and share > 0.9 and any(a.values[0] % 1 for a in numbers):
            column.meaning = ""
        elif column.meaning in PRICES and cells and share < 0.2:
            words_only = sum(bool(re.search(r"[^\W\d_]{3}", c.text)) for c in cells)
            if (
                words_only > len(cells) * 0.8
                and any(o.meaning in PRICES and o is not column for o in table.columns.values())
                and not any(amount(c).declined for c in cells)
            ):
                column.meaning = "note"
    _breaks_by_base(table)
    _choose_part(table, rows, known)
    _choose_quantity(table, rows, known)
    _one_of_each(table)
    _setup_in_breakdown(table)


def _base_beside_quantities(price: Column, table: Table, rows: list[int]) -> None:
    """'Price for 100 pcs' beside quantities that are others is a price base and no break."""
    if str(price.quantity) not in ("10", "100", "1000") or not re.search(
        r"(?i)(?:for|für|fuer|pour|per|por|za|je|pro|cada|每|/)\s*\d", plain_digits(price.heading)
    ):
        return
    counted = [
        a for r in rows if (a := amount(table.grid.cell(r, table.by("quantity")[0].index))).values
    ]
    if any(price.quantity not in read.values for read in counted):
        price.base, price.quantity = str(price.quantity), 0


def _breaks_by_base(table: Table) -> None:
    """'Price per 10 | per 50 | per 100' with no quantity column are breaks, not bases."""
    prices = [c for c in table.by(*PRICES) if not c.quantity]
    if len(prices) < 2 or table.by("quantity"):
        return
    found = []
    for column in prices:
        match = re.search(
            r"(?i)(?:per|je|pro|pour|par|per|por|za|/|à|a)\s*(\d+)", plain_digits(column.heading)
        )
        if not match:
            return
        found.append((column, int(match[1])))
    if len({q for _, q in found}) == len(found):
        for column, quantity in found:
            column.quantity, column.base = quantity, ""


def _choose_part(table: Table, rows: list[int], known: Known) -> None:
    """Where the request's part numbers are known, the column that holds them is the part's."""
    candidates = table.by("part", "shop part", "name", "note", "", "position", "material")
    if known.numbers:
        hits = {
            column.index: sum(
                bool(known.find(table.grid.text(r, column.index), loose=False)) for r in rows
            )
            for column in candidates
        }
        best = max(hits, key=lambda i: (hits[i], table.columns[i].meaning == "part"), default=0)
        if best and hits[best] > 0:
            now = table.by("part")
            if not (now and hits.get(now[0].index, 0) >= hits[best]):
                for column in now:
                    column.meaning = "shop part"
                table.columns[best].meaning, table.columns[best].sure = "part", 0.95
    parts = table.by("part")
    if not parts:
        for column in table.by("shop part") or table.by("name"):
            column.meaning = "part"
            column.sure = min(column.sure, 0.8)
            break
    if not table.by("part"):
        for column in table.by("", "position"):
            texts = [t for r in rows if (t := table.grid.text(r, column.index))]
            like = sum(bool(re.search(r"[A-Za-z]", t) and re.search(r"\d", t)) for t in texts)
            if texts and like >= len(texts) * 0.6:
                column.meaning, column.sure = "part", 0.6
                break
    for extra in table.by("part")[1:]:
        extra.meaning = "shop part"


_NOT_OURS = re.compile(
    r"(?i)annual|year|jahr|annuel|annu[ao]|roczn|年|request|asked|required|req\b|angefragt|demand|richiest|solicit|zapytan"
)


def _choose_quantity(table: Table, rows: list[int], known: Known) -> None:
    """Of several quantity columns beside one price, the one that the request or the words point at."""
    columns = [c for c in table.by("quantity") if not c.quantity]
    prices = [c for c in table.by(*PRICES) if not c.quantity]
    if len(columns) < 2 or len(prices) != 1:
        return
    asked = {q for quantities in known.quantities.values() for q in quantities}

    def rank(column: Column) -> tuple[bool, float]:
        values = [amount(table.grid.cell(r, column.index)).values for r in rows]
        filled = [v[0] for v in values if len(v) == 1]
        hits = sum(v in asked for v in filled) / len(filled) if filled else 0.0
        return (not _NOT_OURS.search(column.heading), hits)

    best = sorted(columns, key=rank, reverse=True)
    if rank(best[0]) > rank(best[1]) and rank(best[0])[1] >= rank(best[1])[1]:
        for column in best[1:]:
            column.meaning = "other quantity"


def _one_of_each(table: Table) -> None:
    """Rival columns: a plain price beats 'price', net beats gross; what is left is not read."""
    exact = table.by("unit price")
    for column in table.by("price"):
        if exact or len(table.by("price")) == 1 or column.quantity:
            rival = [c for c in exact if c.quantity == column.quantity]
            if rival and not table.by(*TOTALS, "lot price"):
                column.meaning = "amount"
            elif rival:
                column.meaning = "other price"
    net = [c for c in table.by("unit price", "price", "lot price") if not c.quantity]
    for column in table.by("gross price"):
        if any(c.quantity == column.quantity for c in net) or (
            column.quantity and any(c.quantity == column.quantity for c in exact)
        ):
            column.meaning = "other price"
    if exact and not table.by("weight"):
        for column in table.by("kg price"):
            column.meaning = "other price"  # both are given, and the piece is what is bought
    if table.by("total", "lot price"):
        for column in table.by("gross total", "amount"):
            column.meaning = "other total"


def _setup_in_breakdown(table: Table) -> None:
    """A set-up column among breakdown columns and before the unit price is an element of it."""
    elements = [c.index for c in table.by("element")]
    prices = [c.index for c in table.by(*PRICES)]
    if len(elements) >= 1 and prices:
        for column in table.by("one-off"):
            once = re.search(
                r"(?i)once|one|einmal|unique|tantum|únic|jednoraz|nre|一次|tool|werkzeug",
                column.heading,
            )
            if min(elements) <= column.index + 1 and column.index < max(prices) and not once:
                column.meaning = "element"


def table_without_head(grid: Grid, taken: set[int], known: Known) -> Table | None:
    """Return a table of rows that no heading covers, its columns told by their content."""
    rows = [r for r in sorted(grid.rows) if r not in taken and r not in grid.hidden_rows]
    picked: list[tuple[int, int]] = []
    for r in rows:
        cells = grid.rows[r]
        part = next(
            (c for c in sorted(cells) if cells[c].kind == "s" and known.find(cells[c].text, loose=False)), 0
        )  # fmt: skip
        if not part:
            part = next(
                (c for c in sorted(cells) if cells[c].kind == "s" and looks_like_part(cells[c].text)), 0
            )  # fmt: skip
        numbers = [c for c in cells if c != part and amount(cells[c]).values]
        if part and numbers and len(cells) >= 2:
            picked.append((r, part))
    if not picked or (len(picked) < 2 and not known.numbers):
        return None
    part_column = max({p for _, p in picked}, key=[p for _, p in picked].count)
    body = [r for r, p in picked if p == part_column]
    columns = {part_column: Column(part_column, "part", 0.7)}
    figures: dict[int, list[tuple[int, object]]] = {}
    for r in body:
        for c, cell in grid.rows[r].items():
            read = amount(cell)
            if c != part_column and read.values:
                figures.setdefault(c, []).append((r, read))
    full = [c for c, found in figures.items() if len(found) >= max(1, len(body) * 0.5)]
    full.sort()
    values = {c: {r: amount(grid.rows[r][c]) for r, _ in figures[c]} for c in full}
    whole = [
        c for c in full
        if all(a.values[0] % 1 == 0 and not a.currencies and 0 < a.values[0] < 1_000_000 for a in values[c].values())
    ]  # fmt: skip

    def is_count(column: int) -> bool:
        found = [int(a.values[0]) for a in values[column].values()]
        steps = {b - a for a, b in pairwise(found)}
        return len(found) > 2 and len(steps) == 1 and steps <= {1, 10} and found[0] in (1, 10)

    counts = [c for c in whole if c < part_column and is_count(c)]
    for c in counts:
        columns[c] = Column(c, "position", 0.8)
    quantities = [c for c in whole if c not in counts]
    best: tuple[int, int, int, int] | None = None
    for q in quantities:
        for p in full:
            for t in full:
                if len({q, p, t}) == 3:
                    good = sum(
                        r in values[p] and r in values[t]
                        and any(
                            abs(a * b - d) < max(abs(d) / 5000, a * 0 + 1 / type(d)(100))
                            for a in values[q][r].values for b in values[p][r].values for d in values[t][r].values
                        )
                        for r in values[q]
                    )  # fmt: skip
                    if good >= max(1, len(body) * 0.6) and (
                        best is None or (good, -t) > (best[0], -best[3])
                    ):
                        best = (good, q, p, t)
    if best:
        columns[best[1]] = Column(best[1], "quantity", 0.85)
        columns[best[2]] = Column(best[2], "unit price", 0.85)
        columns[best[3]] = Column(best[3], "total", 0.85)
    else:
        rest = [c for c in full if c not in counts]
        if rest and len(rest) >= 2 and rest[0] in quantities:
            columns[rest[0]] = Column(rest[0], "quantity", 0.6)
            columns[rest[1]] = Column(rest[1], "price", 0.6)
        elif rest:
            columns[rest[-1]] = Column(rest[-1], "price", 0.5)
    for c in {c for r in body for c in grid.rows[r]} - set(columns):
        columns[c] = Column(c, "", 0.5)
    return Table(grid, (), body[0], max(body), dict(sorted(columns.items())))


def looks_like_part(text: str) -> bool:
    """Whether a text has the shape of a part number: letters and digits, no sentence.

    >>> looks_like_part("BR-1041 Rev B"), looks_like_part("Total 4.883,10"), looks_like_part("10 pcs")
    (True, False, False)
    """
    body = re.sub(
        r"(?i)[\s(/,_-]*(?:rev(?:ision)?|index|ind|issue|ver)\b\.?\s*\w{1,3}\)?", "", text
    ).strip()
    return bool(
        re.fullmatch(
            r"[A-Za-z]{1,6}[-_ ./]?[A-Za-z]{0,3}\d{2,}[\w./-]*|\d{2,6}[-_.][\dA-Za-z][\w.-]{2,}",
            body,
        )
    ) and not re.fullmatch(
        r"(?i)(?:rev|qty|pos|item|line|iso|din|en|total|net|per|ab|je|pro|par|from|bei|at|for|lot|los|page|q)\W?\d+",
        body,
    )
