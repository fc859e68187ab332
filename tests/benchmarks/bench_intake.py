"""Benchmarks of reading replies; ``pytest -m benchmark -s tests/benchmarks/bench_intake.py``.

Prints what it measured: 5,000 mutated replies (silently different prices: none), 20,000 numbers
and headings of rubbish, a 5,000-line workbook against the bare library (at most 2x), growth.
"""

from __future__ import annotations

import importlib.util
import io
import random
import time
from pathlib import Path
from types import ModuleType

import pytest
from openpyxl import Workbook, load_workbook

from rfq.intake.cells import text_amount
from rfq.intake.dates import dates
from rfq.intake.headings import heading_quantity
from rfq.intake.lead_said import lead_time
from rfq.intake.lexicon import lexicon
from rfq.intake.matching import split_revision
from rfq.intake.money import base_in, tax_in
from rfq.intake.read import read_reply

pytestmark = pytest.mark.benchmark


def fuzz_module() -> ModuleType:
    path = Path(__file__).parent.parent / "intake" / "test_reply_fuzz.py"
    spec = importlib.util.spec_from_file_location("reply_fuzz", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_five_thousand_mutated_replies(tmp_path: Path) -> None:
    fuzz = fuzz_module()
    cases, wrong = 0, []
    for rows in fuzz.cell_mutations(2026, 3200):
        wrong += fuzz.check(fuzz.as_csv(rows), tmp_path / "m.csv")
        cases += 1
    dice = random.Random(2027)
    base = fuzz.as_csv(fuzz.sheet_rows())
    for _ in range(1700):
        data = bytearray(base)
        for _ in range(dice.choice((1, 1, 2, 5, 40))):
            data[dice.randrange(len(data))] = dice.randrange(256)
        wrong += fuzz.check(bytes(data), tmp_path / "m.csv")
        cases += 1
    book = fuzz.as_book(fuzz.sheet_rows())
    for rows in fuzz.cell_mutations(2028, 100):
        wrong += fuzz.check(fuzz.as_book(rows), tmp_path / "m.xlsx")
        cases += 1
    for _ in range(100):
        data = bytearray(book)
        data[dice.randrange(len(data))] ^= 1 << dice.randrange(8)
        wrong += fuzz.check(bytes(data), tmp_path / "m.xlsx")
        cases += 1
    print(f"\nmutated replies: {cases}, tracebacks: 0, silently different prices: {len(wrong)}")
    for line in wrong[:20]:
        print("  ", line)
    assert not wrong


def test_rubbish_texts_never_raise() -> None:
    dice = random.Random(1)
    alphabet = "0123456789.,'’ -–/%€$£¥()ABCxyzäłżé件每百\u202f\u00a0\u202e\x1b\n|:;@#eE+½٤１"
    words = lexicon()
    for number in range(20_000):
        text = "".join(dice.choice(alphabet) for _ in range(dice.randrange(1, 24)))
        text_amount(text)
        for read in (heading_quantity, dates, split_revision, base_in, tax_in, lead_time):
            read(text)
        if number % 10 == 0:
            words.read(text)
    print("\nrubbish texts: 20,000, tracebacks: 0")


def workbook(path: Path, lines: int) -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Part No", "Rev", "Description", "Qty", "Unit Price EUR", "Ext. Price"])
    dice = random.Random(3)
    for n in range(lines):
        quantity, cents = dice.choice((5, 10, 25, 100)), dice.randrange(100, 90_000)
        sheet.append(
            [
                f"BR-{100_000 + n}",
                "B",
                "Bracket, milled",
                quantity,
                cents / 100,
                cents * quantity / 100,
            ]
        )
    book.save(path)
    return path


def bare(path: Path) -> float:
    started = time.perf_counter()
    sheet = load_workbook(path, data_only=True).active
    assert sheet is not None
    sum(1 for row in sheet.iter_rows() for cell in row if cell.value is not None)
    return time.perf_counter() - started


def ours(path: Path) -> tuple[float, int]:
    started = time.perf_counter()
    draft = read_reply(path).get()
    return time.perf_counter() - started, sum(p.sure for p in draft.prices)


def test_large_workbook_against_the_bare_library(tmp_path: Path) -> None:
    print()
    seconds = {}
    for lines in (1250, 5000, 20_000):
        path = workbook(tmp_path / f"{lines}.xlsx", lines)
        library = min(bare(path) for _ in range(3))
        times = [ours(path) for _ in range(3)]
        seconds[lines] = min(t for t, _ in times)
        assert times[0][1] == lines
        print(
            f"{lines:6} lines: bare {library:.3f} s, reply read {seconds[lines]:.3f} s, ratio {seconds[lines] / library:.2f}"  # noqa: E501
        )
        if lines == 5000:
            assert seconds[lines] <= 2.0 * library
    growth = __import__("math").log(seconds[20_000] / seconds[1250]) / __import__("math").log(16)
    print(f"growth exponent {growth:.2f}")
    assert growth <= 1.15
    assert io
