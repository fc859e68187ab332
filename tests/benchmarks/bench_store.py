"""Benchmarks of the store; ``pytest -m benchmark -s tests/benchmarks/bench_store.py``.

Prints what it measured. Kills: 500. Two writers: 300 changes each. Speed: as ratios in one run,
against the bare TOML reader and a bare write with fsync.
"""

from __future__ import annotations

import importlib.util
import json
import math
import os
import subprocess
import sys
import time
import tomllib
from collections.abc import Callable
from datetime import UTC, date, datetime
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.model.part import FileRef, Part
from rfq.model.project import Settings
from rfq.model.quote import Price, Quote
from rfq.model.request import Asked, Request, RequestLine, Round
from rfq.model.shop import Shop
from rfq.problems import Place
from rfq.store.files import sha256_of
from rfq.store.load import load_project
from rfq.store.save import changes, save

pytestmark = pytest.mark.benchmark
STORE = Path(__file__).parent.parent / "store"
_spec = importlib.util.spec_from_file_location("record_fuzz", STORE / "record_fuzz.py")
assert _spec is not None and _spec.loader is not None
record_fuzz = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(record_fuzz)
NOW = datetime(2026, 7, 24, tzinfo=UTC)


def program(name: str, *words: str) -> dict[str, int]:
    done = subprocess.run(
        [sys.executable, str(STORE / name), *words],
        capture_output=True, text=True, check=False, env={**os.environ, "RFQ_USER": "Ana"},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return dict(json.loads(done.stdout))


def best(call: Callable[[], object], times: int = 5) -> float:
    """The shortest of several runs, in seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return min(taken)


def build(folder: Path, parts: int, shops: int, rounds: int) -> None:
    """A project of that size with three quantities a part."""
    folder.mkdir()
    numbers = [f"P-{n:04}" for n in range(parts)]
    names = [f"shop-{n}" for n in range(shops)]
    with changes(folder, "built", by="Ana") as change:
        change.put(Settings(name="Size"))
        for number in numbers:
            change.put(
                Part.model_validate(
                    {
                        "number": number,
                        "revision": "B",
                        "name": "Plate",
                        "material": "EN AW-6082",
                        "callouts": [{"number": str(n), "text": "42 H7"} for n in range(1, 9)],
                        "shape": {"length_mm": "120", "width_mm": "80", "height_mm": "20"},
                    }
                )
            )
        for name in names:
            change.put(Shop(id=name, name=name, country="DE", currency="EUR"))
        change.put(
            Request(id="R1", title="Lot",
                    lines=tuple(RequestLine(part=n, quantities=(5, 25, 100)) for n in numbers),
                    asked=tuple(Asked(shop=name) for name in names))
        )  # fmt: skip
        for round_ in range(1, rounds + 1):
            change.put(Round(request="R1", number=round_, opened=NOW))
            for name in names:
                prices = tuple(
                    Price(part=number, quantity=quantity, printed=Decimal("41.20"),
                          each=Decimal("41.20"), currency="EUR",
                          place=Place("quote.xlsx", sheet="Quote", cell=f"F{12 + at}"))
                    for at, number in enumerate(numbers) for quantity in (5, 25, 100)
                )  # fmt: skip
                change.put(
                    Quote(shop=name, request="R1", round=round_, received=NOW, accepted_at=NOW,
                          currency="EUR", source=FileRef(path="x"), prices=prices)
                )  # fmt: skip


def bare(folder: Path) -> None:
    for path in folder.rglob("*.toml"):
        tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)


def test_kill_500_times(tmp_path: Path) -> None:
    seen = program("crash_drill.py", str(tmp_path), "500", "20260724")
    print(f"\nkills {seen}")
    assert seen["kills"] == 500


def test_two_writers_of_300_changes_each(tmp_path: Path) -> None:
    seen = program("two_writers.py", str(tmp_path), "300")
    print(f"\ntwo writers {seen}")
    assert seen["kept"] == 600 and seen["unnamed"] == 0


def test_loading_against_the_bare_reader(tmp_path: Path) -> None:
    folder = tmp_path / "normal"
    build(folder, 30, 6, 3)
    ours, theirs = best(lambda: load_project(folder).get()), best(lambda: bare(folder))
    print(f"\nload 30 x 6 x 3: {ours * 1e3:.0f} ms, {ours / theirs:.2f} x bare tomllib")
    assert ours / theirs < 3


def test_growth_of_loading(tmp_path: Path) -> None:
    taken = []
    for size in (1, 4, 16):
        folder = tmp_path / f"size{size}"
        build(folder, 12 * size, 6, 1)
        taken.append(best(lambda folder=folder: load_project(folder).get(), 3))
    exponent = math.log(taken[2] / taken[1]) / math.log(4)
    rows = ", ".join(
        f"{size} x: {t * 1e3:.0f} ms" for size, t in zip((1, 4, 16), taken, strict=True)
    )
    print(f"\ngrowth of loading: {rows}; exponent {exponent:.2f}")
    assert exponent < 1.15


def test_saving_against_bare_writes(tmp_path: Path) -> None:
    folder = tmp_path / "project"
    build(folder, 30, 6, 1)
    quote = load_project(folder).get().quotes[0]
    path = folder / "requests/R1/round-1/quotes/shop-0-1.toml"
    data = path.read_bytes()
    count = 0

    def ours() -> None:
        nonlocal count
        count += 1
        save(folder, quote.model_copy(update={"internal_note": str(count)}),
             seen=sha256_of(path), by="Ana", at=NOW)  # fmt: skip

    def theirs() -> None:
        with (tmp_path / "bare").open("wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())

    mine, base = best(ours), best(theirs)
    print(f"\nsave a quote of 90 prices: {mine * 1e3:.1f} ms, {mine / base:.1f} x write and fsync")


def test_20000_damaged_records_are_read_or_refused_in_words() -> None:
    seen = record_fuzz.fuzz(20_000, seed=20260724)
    print(f"\nfuzz of records {seen}")
    assert seen["read"] + seen["refused"] == 20_000


def test_exchange_rates_are_read_once() -> None:
    from rfq.store.ecb import exchange_rates

    first = best(lambda: exchange_rates(date(2026, 7, 24), ["USD", "GBP"]), 1)
    later = best(lambda: exchange_rates(date(2026, 7, 24), ["USD", "GBP"]))
    print(f"\nexchange rates: {first * 1e3:.0f} ms once, then {later * 1e6:.0f} us")
