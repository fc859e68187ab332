"""The speed table: every figure a ratio, measured in one run on one machine.

``python tests/benchmarks/table.py [part of a row's name]``; a few minutes. Each row names its bare
counterpart, which does the work that no program can leave out, and the limit set for the ratio.
A row whose counterpart is not installed is printed as skipped, with the reason. Ends with 1 where
a ratio is over its limit.
"""

from __future__ import annotations

import asyncio
import gc
import importlib.util
import math
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from types import ModuleType
from typing import Any

HERE = Path(__file__).resolve().parent
Row = tuple[str, float | None, float, str]  # what, ratio, limit, against what and the times


def bench(name: str) -> ModuleType:
    """A benchmark module of this folder."""
    spec = importlib.util.spec_from_file_location(name, HERE / f"{name}.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def timed(work: Callable[[], object], times: int = 3) -> float:
    """Shortest of a few runs, in seconds."""
    best = math.inf
    for _ in range(times):
        gc.collect()
        start = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - start)
    return best


@contextmanager
def as_the_command_line() -> Iterator[None]:
    """Garbage is looked for as seldom as under ``rfq`` itself."""
    before = gc.get_threshold()
    gc.set_threshold(100_000, 50, 100)
    try:
        yield
    finally:
        gc.set_threshold(*before)


# --- rows ----------------------------------------------------------------------------------


def start() -> Iterator[Row]:
    ours, bare = [], []
    rfq = [sys.executable, "-c", "from rfq.cli.main import main; main(['--help'])"]
    click = [sys.executable, "-c", "import click"]
    for _ in range(15):  # by turns, so that a busy moment hits both
        for command, found in ((rfq, ours), (click, bare)):
            begun = time.perf_counter()
            subprocess.run(command, capture_output=True, check=True)
            found.append(time.perf_counter() - begun)
    a, b = statistics.median(ours), statistics.median(bare)
    yield "rfq --help", a / b, 1.3, f"python -c 'import click': {a * 1e3:.0f} / {b * 1e3:.0f} ms"


def first_paint() -> Iterator[Row]:
    from textual.app import App

    from rfq.tasks.demo import run_demo

    async def painted(app: App[Any]) -> float:
        begun = time.perf_counter()
        async with app.run_test(size=(140, 44)) as pilot:
            await pilot.pause()
            return time.perf_counter() - begun

    with tempfile.TemporaryDirectory() as home:
        folder = Path(home) / "demo"
        run_demo(folder, say=lambda _: None)
        from rfq.tui.app import RfqApp

        asyncio.run(painted(App()))
        a = min(asyncio.run(painted(RfqApp(folder))) for _ in range(3))
        b = min(asyncio.run(painted(App())) for _ in range(3))
    yield (
        "first paint of the app, demo",
        a / b,
        math.inf,
        (f"empty Textual app: {a * 1e3:.0f} / {b * 1e3:.0f} ms (no limit set)"),
    )


def comparison() -> Iterator[Row]:
    m = bench("bench_compare")
    day = date(2026, 10, 30)
    project, request, exchange, estimates = m.large(500, 20)

    def whole() -> Any:
        return m.compare(project, request, 1, day, exchange, estimates, what_ifs=False)

    with as_the_command_line():
        source = m.Source(project, request, 1, m.exchange_into("EUR", exchange), estimates)
        table = m.build_table(source, m.lines_of(source, []), m.shops_of(source, []))
        bands, _ = m.bands_of(table.lines, estimates, source.exchange)
        result = whole()
        ours = timed(whole)
        decimals = timed(m.bare_decimal)
        judging = timed(lambda: m.judged(table, bands))
        objects = timed(lambda: m.bare_objects(result))
    bare = decimals + judging + objects
    yield (
        "compare 500 x 20",
        ours / bare,
        3.0,
        (f"the same decimals, numpy judgement and result objects: {ours:.2f} / {bare:.2f} s"),
    )
    yield from libreoffice(ours, result)
    times, peaks = [], []
    for lines in (125, 500, 2000):
        made = m.large(lines, 20)

        def run(made: Any = made) -> Any:
            return m.compare(made[0], made[1], 1, day, made[2], made[3], what_ifs=False)

        with as_the_command_line():
            times.append(timed(run, 2))
        tracemalloc.start()
        run()
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    yield "growth of compare, 1x 4x 16x: time", exponent(times), 1.15, seconds(times)
    yield (
        "growth of compare, 1x 4x 16x: memory",
        exponent(peaks),
        1.15,
        (" / ".join(f"{one / 1e6:.0f}" for one in peaks) + " MB"),
    )


def exponent(values: list[float]) -> float:
    """Least-squares slope of log value over log size, at 1x, 4x and 16x."""
    x = [0.0, math.log(4), math.log(16)]
    y = [math.log(value) for value in values]
    middle_x, middle_y = statistics.mean(x), statistics.mean(y)
    over = sum((a - middle_x) * (b - middle_y) for a, b in zip(x, y, strict=True))
    return over / sum((a - middle_x) ** 2 for a in x)


def seconds(times: list[float]) -> str:
    return " / ".join(f"{one:.2f}" for one in times) + " s"


def libreoffice(ours: float, result: Any) -> Iterator[Row]:
    """The same bridge and a rule for odd prices as formulas, recalculated without a window."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    name = "compare 500 x 20, LibreOffice"
    if program is None:
        yield name, None, 0.1, "skipped: LibreOffice is not installed"
        return
    from openpyxl import Workbook

    def book(full: bool) -> Any:
        made = Workbook(write_only=True)
        sheet = made.create_sheet("bridge")
        rows = [(line, cell) for line in result.lines for cell in line.prices] if full else []
        last = len(rows)
        for n, (line, cell) in enumerate(rows, 1):
            assert cell.quoted is not None and line.should_cost is not None
            sheet.append([
                line.part, cell.shop, float(cell.quoted.amount), 1.1, line.quantity, 50, 90, 0.042,
                0.003, 45, 15, 0.01, float(line.should_cost.middle),
                f"=C{n}/D{n}", f"=F{n}/D{n}/E{n}",
                f"=SUMIFS($C$1:$C${last},$B$1:$B${last},B{n})", f"=C{n}*E{n}/P{n}",
                f"=G{n}*Q{n}/E{n}", f"=1.1*I{n}*(N{n}+O{n}+R{n})", f"=H{n}*(N{n}+O{n}+R{n}+S{n})",
                f"=J{n}*Q{n}/E{n}", f"=K{n}*Q{n}/E{n}", f"=L{n}*(N{n}+O{n})",
                f"=ROUND(N{n}+O{n}+R{n}+S{n}+T{n}+U{n}+V{n}+W{n},6)", f"=LN(X{n}/M{n})",
                f"=AVERAGEIFS($Y$1:$Y${last},$B$1:$B${last},B{n})",
                f"=AVERAGEIFS($Y$1:$Y${last},$A$1:$A${last},A{n})", f"=(Y{n}-Z{n}-AA{n}/2)/0.25",
                f'=IF(ABS(AB{n})>4,"likely error",IF(ABS(AB{n})>2.8,"query","in line"))',
                f"=COUNTIFS($A$1:$A${last},A{n},$X$1:$X${last},\"<\"&X{n})+1",
            ])  # fmt: skip
        return made

    with tempfile.TemporaryDirectory() as home:
        took = {}
        for full in (False, True):
            path = Path(home) / f"{full}.xlsx"
            book(full).save(path)
            command = [
                program, f"-env:UserInstallation=file://{home}/profile", "--headless",
                "--convert-to", "csv", "--outdir", home, str(path),
            ]  # fmt: skip
            for _ in range(2):  # the first run makes the profile
                begun = time.perf_counter()
                subprocess.run(command, capture_output=True, check=True, timeout=600)
                took[full] = time.perf_counter() - begun
        text = (Path(home) / "True.csv").read_text()
        assert text.count("in line") > 5000, text[:300]
    net = took[True] - took[False]
    yield (
        name,
        ours / net,
        0.1,
        (f"the bridge and a rule as formulas, net of its start: {ours:.2f} / {net:.2f} s"),
    )


def should_cost() -> Iterator[Row]:
    import pytest

    m = bench("bench_cost")
    with pytest.MonkeyPatch.context() as patch:
        calls = m.recorded_calls(patch)

    def bare() -> None:
        for _ in range(200):
            for func, args, kwargs in calls:
                func(*args, **kwargs)

    m.estimate(2)
    with as_the_command_line():
        a, b = timed(lambda: m.estimate(200)), timed(bare)
        times = [timed(lambda n=n: m.estimate(n), 2) for n in (15, 60, 240)]
    yield "should-cost 200 x 4 x 4,096 draws", a / b, 3.0, f"bare numpy: {a:.2f} / {b:.2f} s"
    yield "growth of should-cost, 1x 4x 16x: time", exponent(times), 1.15, seconds(times)


def reading() -> Iterator[Row]:
    m = bench("bench_intake")
    with tempfile.TemporaryDirectory() as home:
        times = []
        for lines in (1250, 5000, 20_000):
            path = m.workbook(Path(home) / f"{lines}.xlsx", lines)
            with as_the_command_line():
                times.append(min(m.ours(path)[0] for _ in range(2)))
            if lines == 5000:
                bare = min(m.bare(path) for _ in range(3))
    yield (
        "workbook of 5,000 lines",
        times[1] / bare,
        2.0,
        (f"openpyxl alone: {times[1]:.2f} / {bare:.2f} s"),
    )
    yield "growth of reading, 1x 4x 16x: time", exponent(times), 1.15, seconds(times)


def package() -> Iterator[Row]:
    m = bench("bench_package")
    project, now = m.large_project(), datetime(2026, 7, 6, tzinfo=UTC)
    wording = m.load_wording().get()
    m.fonts.ready()
    out = m.outgoing(project, project.requests["large"], project.shops["oakvane"], 1)
    with as_the_command_line():
        data = m.request_pdf(out, wording, now)
        a = timed(lambda: m.request_pdf(out, wording, now), 2)
        pages = m.lines_of(data)
        b = timed(lambda: m.bare(pages), 2)
    yield (
        "package of 200 parts",
        a / b,
        3.0,
        (f"bare canvas, the same {sum(map(len, pages))} lines: {a:.2f} / {b:.2f} s"),
    )


def loading() -> Iterator[Row]:
    from rfq.store.load import load_project

    m = bench("bench_store")
    with tempfile.TemporaryDirectory() as home:
        times = []
        for size in (1, 4, 16):
            folder = Path(home) / str(size)
            m.build(folder, 25 * size, 4, 1)
            times.append(timed(lambda f=folder: load_project(f), 2))
            if size == 4:
                bare = timed(lambda f=folder: m.bare(f), 2)
    yield (
        "load a project of 100 parts",
        times[1] / bare,
        math.inf,
        (f"tomllib and pydantic alone: {times[1]:.2f} / {bare:.2f} s (no limit set)"),
    )
    yield "growth of loading, 1x 4x 16x: time", exponent(times), 1.15, seconds(times)


ROWS = {
    "start": start, "paint": first_paint, "compare": comparison, "cost": should_cost,
    "reading": reading, "package": package, "loading": loading,
}  # fmt: skip


def main() -> int:
    wanted = sys.argv[1] if len(sys.argv) > 1 else ""
    over = 0
    print("| what | ratio | limit | against, and the times |\n|---|---|---|---|", flush=True)
    for name, rows in ROWS.items():
        if wanted not in name:
            continue
        for what, ratio, limit, against in rows():
            shown = "-" if ratio is None else f"{ratio:.2f}"
            most = "" if math.isinf(limit) else f"{limit:g}"
            missed = ratio is not None and ratio > limit
            over += missed
            print(
                f"| {what} | {shown}{' OVER' if missed else ''} | {most} | {against} |", flush=True
            )
    return 1 if over else 0


if __name__ == "__main__":
    sys.exit(main())
