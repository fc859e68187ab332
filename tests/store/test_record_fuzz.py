"""A small share of the fuzz; tests/benchmarks/bench_store.py runs 20,000."""

from __future__ import annotations

import importlib.util
from pathlib import Path


def test_damaged_records_are_read_or_refused_in_words() -> None:
    spec = importlib.util.spec_from_file_location(
        "record_fuzz_small", Path(__file__).with_name("record_fuzz.py")
    )
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    seen = module.fuzz(1_000, seed=1)
    assert seen["read"] > 50 and seen["refused"] > 300
