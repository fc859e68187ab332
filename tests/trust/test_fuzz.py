"""A small share of the mutation fuzz; tests/benchmarks/bench_fuzz.py runs 20,000 cases of each."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

BENCH = Path(__file__).resolve().parents[1] / "benchmarks" / "bench_fuzz.py"
_spec = importlib.util.spec_from_file_location("bench_fuzz_small", BENCH)
assert _spec is not None and _spec.loader is not None
fuzz = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(fuzz)
CASES = {"callout parser": 2000, "number parser": 2000}


@pytest.mark.filterwarnings("ignore")  # of openpyxl, about what is wrong with a broken workbook
@pytest.mark.parametrize("name", fuzz.NAMES)
def test_nothing_uncaught_and_no_price_silently_changed(name: str, tmp_path: Path) -> None:
    seen = fuzz.run(name, CASES.get(name, 120), tmp_path)
    assert seen.get("differ", 0) == 0
    assert seen.get("same", 1) > 0 and seen.get("read", 1) > 0
