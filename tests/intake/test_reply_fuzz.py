# ruff: noqa: E501 - one made file stands on one line
"""Mutated replies: no traceback, no silently different price (a few hundred; more in benchmarks)."""

from __future__ import annotations

import csv
import io
import random
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import Workbook

from rfq.intake.read import read_reply
from rfq.model.draft import Draft
from rfq.model.request import Request, RequestLine

ROWS: list[tuple[str, str, int, str]] = [
    ("BR-1041", "Bracket", 10, "40.92"), ("SH-2007", "Shaft 12h6", 10, "22.07"), ("PL-3310", "Plate", 5, "80.61"),
    ("CV-0420", "Cover", 50, "7.71"), ("MN-1188", "Block", 5, "214.33"), ("SP-0099", "Spacer 8x4", 100, "2.05"),
]  # fmt: skip
REQUEST = Request(
    id="r", title="r", lines=tuple(RequestLine(part=p, quantities=(q,)) for p, _, q, _ in ROWS)
)
TRUTH = {(p, q): Decimal(v) for p, _, q, v in ROWS}
NASTY = ["", " ", "-", "0", "1", "#REF!", "n/a", "10", "1.234", "1,234", "12.5", "€", "$", "EUR", "x" * 300, "\x1b[31m", "=1+1", "TBD", "99999999999", "1e9", "½", "per 100", "lot", "%", "\u202e", "total", "VAT 19 %", "BR-1041"]  # fmt: skip


def german(value: Decimal) -> str:
    return f"{value:,.2f}".replace(",", "\0").replace(".", ",").replace("\0", ".")


def sheet_rows() -> list[list[str]]:
    out = [
        ["Angebot", "4711"],
        [],
        [
            "Pos.",
            "Zeichnungs-Nr.",
            "Bezeichnung",
            "Menge",
            "ME",
            "Preis EUR / 100 Stück",
            "Gesamtpreis EUR",
        ],
    ]
    total = Decimal(0)
    for n, (part, name, quantity, each) in enumerate(ROWS, 1):
        value = Decimal(each)
        total += value * quantity
        out.append(
            [
                str(n * 10),
                f"{part}-A",
                name,
                str(quantity),
                "Stk",
                german(value * 100),
                german(value * quantity),
            ]
        )
    return [
        *out,
        ["", "", "", "", "", "Summe", german(total)],
        ["", "", "", "", "", "zzgl. 19 % MwSt."],
    ]


def as_csv(rows: list[list[str]]) -> bytes:
    out = io.StringIO()
    csv.writer(out, delimiter=";", lineterminator="\r\n").writerows(rows)
    return out.getvalue().encode("cp1252", "replace")


def as_book(rows: list[list[str]]) -> bytes:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(["".join(c for c in cell if c.isprintable()) for cell in row])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def cell_mutations(seed: int, count: int) -> Iterator[list[list[str]]]:
    dice = random.Random(seed)
    for _ in range(count):
        rows = [list(row) for row in sheet_rows()]
        r = dice.randrange(len(rows))
        if not rows[r]:
            continue
        c = dice.randrange(len(rows[r]))
        text = rows[r][c]
        what = dice.randrange(6)
        if what == 0:
            text = dice.choice(NASTY)
        elif what == 1 and text:
            i = dice.randrange(len(text))
            text = text[:i] + dice.choice("0123456789.,' -/ABCxyz%€") + text[i + 1 :]
        elif what == 2 and text:
            i = dice.randrange(len(text))
            text = text[:i] + text[i + 1 :]
        elif what == 3:
            i = dice.randrange(len(text) + 1)
            text = text[:i] + dice.choice("0123456789.,' -/ABCxyz%€") + text[i:]
        elif what == 4 and len(rows) > 5 and c != 1:  # two part numbers exchanged: nobody can tell
            other = dice.randrange(3, len(rows) - 2)
            if c < len(rows[other]):
                text, rows[other][c] = rows[other][c], text
        else:
            text = text.swapcase()
        rows[r][c] = text
        yield rows


def silent(draft: Draft) -> list[str]:
    """Sure prices that differ from the truth by more than the line's total shows (half a cent)."""
    return [
        f"{p.part} at {p.quantity}: {p.each} for {TRUTH[(p.part, p.quantity)]} ({p.evidence})"
        for p in draft.prices
        if p.sure
        and not p.alternative
        and (p.part, p.quantity) in TRUTH
        and (
            p.each is None
            or abs(p.each - TRUTH[(p.part, p.quantity)]) * p.quantity > Decimal("0.0051")
        )
    ]


def check(data: bytes, path: Path) -> list[str]:
    path.write_bytes(data)
    reading = read_reply(path, REQUEST)
    assert reading.value is not None or reading.problems
    return silent(reading.value) if reading.value is not None else []


def test_the_unchanged_file_is_right(tmp_path: Path) -> None:
    for name, data in (("a.csv", as_csv(sheet_rows())), ("a.xlsx", as_book(sheet_rows()))):
        (tmp_path / name).write_bytes(data)
        draft = read_reply(tmp_path / name, REQUEST).get()
        assert {(p.part, p.quantity): p.each for p in draft.prices if p.sure} == TRUTH


@pytest.mark.parametrize("seed", range(4))
def test_changed_cells(seed: int, tmp_path: Path) -> None:
    for rows in cell_mutations(seed, 75):
        assert check(as_csv(rows), tmp_path / "m.csv") == [], rows


def test_changed_bytes_of_a_csv(tmp_path: Path) -> None:
    dice = random.Random(7)
    base = as_csv(sheet_rows())
    for _ in range(120):
        data = bytearray(base)
        for _ in range(dice.choice((1, 1, 2, 30))):
            data[dice.randrange(len(data))] = dice.randrange(256)
        if dice.random() < 0.2:
            data = data[: dice.randrange(len(data))]
        assert check(bytes(data), tmp_path / "m.csv") == [], bytes(data)


def test_changed_bytes_and_cells_of_a_workbook(tmp_path: Path) -> None:
    dice = random.Random(11)
    base = as_book(sheet_rows())
    for rows in cell_mutations(99, 12):
        assert check(as_book(rows), tmp_path / "m.xlsx") == [], rows
    for _ in range(12):
        data = bytearray(base)
        data[dice.randrange(len(data))] ^= 1 << dice.randrange(8)
        assert check(bytes(data), tmp_path / "m.xlsx") == []


@pytest.mark.parametrize(
    "encoding",
    [
        "utf-8",
        "utf-8-sig",
        "utf-16",
        "utf-16-le",
        "cp1252",
        "cp850",
        "latin-1",
        "cp1250",
        "mac_roman",
    ],
)
def test_every_encoding_gives_the_same_prices(encoding: str, tmp_path: Path) -> None:
    text = as_csv(sheet_rows()).decode("cp1252")
    (tmp_path / "e.csv").write_bytes(text.encode(encoding))
    draft = read_reply(tmp_path / "e.csv", REQUEST).get()
    assert {(p.part, p.quantity): p.each for p in draft.prices if p.sure} == TRUTH
