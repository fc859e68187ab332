"""Start, the comparison of 500 lines and 20 shops, and memory, against an empty Textual app.

Run by hand: ``pytest tests/benchmarks/bench_app.py -m benchmark -s``.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.benchmark

EMPTY = """
import time; begun = time.perf_counter()
import asyncio
from textual.app import App
class Empty(App):
    pass
async def main():
    app = Empty()
    async with app.run_test(size=(160, 50)) as pilot:
        await pilot.pause()
        print(time.perf_counter() - begun)
asyncio.run(main())
"""

START = """
import time; begun = time.perf_counter()
import asyncio, sys
from pathlib import Path
from rfq.tui.app import RfqApp
async def main():
    app = RfqApp(Path(sys.argv[1]), look=False)
    async with app.run_test(size=(160, 50)) as pilot:
        await pilot.pause()
        assert app.session is not None
        print(time.perf_counter() - begun)
asyncio.run(main())
"""

READ = """
import time; begun = time.perf_counter()
import sys
from rfq.tasks.open import opened
opened(sys.argv[1])
print(time.perf_counter() - begun)
"""

MATRIX = """
import asyncio, json, resource, time
from datetime import date
from decimal import Decimal
from pathlib import Path
from textual.app import App
from rfq.model.codes import CellState, Verdict
from rfq.model.comparison import Band, Comparison, Line, PriceCell, ShopSummary
from rfq.tui.comparison_grid import ComparisonGrid
from rfq.tui.widgets.matrix import Matrix
import rfq.tui.app

band = Band(low=Decimal(60), middle=Decimal(72), high=Decimal(90), basis="typed")
shops = [f"shop-{n}" for n in range(20)]
lines = tuple(
    Line(part=f"P-{n:03}", revision="A", name="part of the bench", quantity=25, should_cost=band,
         prices=tuple(PriceCell(shop=s, state=CellState.QUOTED, comparable=Decimal(61 + i),
                                verdict=Verdict.IN_LINE, rank=i + 1, ranked=True)
                      for i, s in enumerate(shops)))
    for n in range(500))
made = Comparison(project="b", request="r", currency="EUR", round=1, as_of=date(2026, 7, 31),
                  lines=lines, shops=tuple(ShopSummary(shop=s) for s in shops))

class Shown(App):
    CSS_PATH = Path(rfq.tui.app.__file__).with_name("app.tcss")
    def compose(self):
        yield Matrix(by_cell=True)
    def on_mount(self):
        self.query_one(Matrix).show(ComparisonGrid(made))
        self.query_one(Matrix).focus()

class Empty(App):
    CSS_PATH = Shown.CSS_PATH

async def paint(kind):
    begun = time.perf_counter()
    app = kind()
    async with app.run_test(size=(160, 50)) as pilot:
        await pilot.pause()
        first = time.perf_counter() - begun
        begun, presses = time.perf_counter(), 40
        if kind is Shown:
            for _ in range(presses):
                app.query_one(Matrix).action_move(1, 0)
                app.screen._compositor.render_update(full=True)
        return first, (time.perf_counter() - begun) / presses

async def main():
    await paint(Empty)  # imports and caches warm for both
    empty = min([(await paint(Empty))[0] for _ in range(5)])
    full, press = min([await paint(Shown) for _ in range(5)])
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps({"empty": empty, "full": full, "press": press, "memory_mb": memory}))

asyncio.run(main())
"""


def _time(code: str, *words: str) -> float:
    return float(_run(code, *words))


def _run(code: str, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code, *words], capture_output=True, text=True, check=True
    )
    return done.stdout.strip().splitlines()[-1]


def test_start_costs_little_more_than_an_empty_app_and_reading(demo_source: Path) -> None:
    # In turn, so that a busy moment of the machine falls on all three alike.
    times = [
        (_time(EMPTY), _time(START, str(demo_source)), _time(READ, str(demo_source)))
        for _ in range(9)
    ]
    empty, start, reading = (min(column) for column in zip(*times, strict=True))
    ratio = start / (1.35 * empty + reading)
    print(f"\nempty {empty:.3f} s, reading {reading:.3f} s, start {start:.3f} s: {ratio:.2f} of it")
    assert ratio <= 1.0


def test_a_large_comparison_paints_in_under_twice_an_empty_screen() -> None:
    found = json.loads(_run(MATRIX))
    ratio = found["full"] / found["empty"]
    print(f"\n{found}; ratio {ratio:.2f}")
    assert ratio < 2.0
    assert found["press"] < 0.1
    assert found["memory_mb"] < 200
