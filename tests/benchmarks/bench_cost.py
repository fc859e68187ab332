"""Speed and memory of the should-cost, as ratios within one run.

``pytest -m benchmark tests/benchmarks/bench_cost.py -s``. The bare cost is that of the numpy calls
themselves: one part's calls are recorded with their arguments and replayed without any of our
code between them.
"""

from __future__ import annotations

import time
import tracemalloc
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import numpy as np
import pytest

from rfq.engine.cost import graph, run
from rfq.engine.cost.estimate import should_cost
from rfq.engine.cost.many import should_costs
from rfq.engine.cost.savings import savings
from rfq.engine.cost.spread import sample
from rfq.model.callout import Callout
from rfq.model.part import Finish, Hole, Part, Shape

pytestmark = pytest.mark.benchmark

QUANTITIES = (1, 5, 25, 100)
DRAWS = 4096
Call = tuple[Callable[..., Any], tuple[Any, ...], dict[str, Any]]


def part(i: int) -> Part:
    """A bracket, each of another size."""
    return Part(
        number=f"P-{i}",
        revision="A",
        name="bracket",
        material="EN AW-6082",
        shape=Shape(
            length_mm=Decimal(80 + i),
            width_mm=Decimal(60),
            height_mm=Decimal(35),
            finished_mass_kg=Decimal("0.2") + Decimal(i) / 1000,
            surface_area_dm2=Decimal(4),
            setups=2,
            smallest_inner_radius_mm=Decimal(3),
            inner_corners=8,
            holes=(Hole(diameter_mm=Decimal(5), depth_mm=Decimal(10), count=4),),
        ),
        callouts=(
            Callout(number="1", text="Ø30 H7", depth_mm=Decimal(20)),
            Callout(number="2", text="4x M6 x 12"),
            Callout(number="3", text="position 0.1 A B"),
            Callout(number="4", text="Ra 1.6"),
            Callout(number="5", text="60 ±0.05"),
        ),
        finishes=(Finish(name="anodise", masks=2),),
    )


class Recorded(np.ndarray):
    """An array that writes down every numpy call it takes part in."""

    calls: list[Call]

    def __array_ufunc__(self, ufunc: Any, method: str, *inputs: Any, **kwargs: Any) -> Any:
        return self._note(getattr(ufunc, method), inputs, kwargs)

    def __array_function__(self, func: Any, types: Any, args: Any, kwargs: Any) -> Any:
        return self._note(func, args, kwargs)

    def _note(self, func: Any, args: Any, kwargs: Any) -> Any:
        plain = tuple(_plain(arg) for arg in args)
        CALLS.append((func, plain, kwargs))
        found = func(*plain, **kwargs)
        if isinstance(found, np.ndarray) and found.size > len(QUANTITIES):
            return found.view(Recorded)
        return found


CALLS: list[Call] = []


def _plain(value: Any) -> Any:
    if isinstance(value, Recorded):
        return value.view(np.ndarray)
    if isinstance(value, (list, tuple)):
        return type(value)(_plain(each) for each in value)
    return value


def recorded_calls(monkeypatch: pytest.MonkeyPatch) -> list[Call]:
    """Every numpy call on draws that one part at four quantities takes."""

    def drawn(parameters: Any, draws: int, seed: int) -> graph.Inputs:
        return graph.Inputs(parameters, lambda p: sample(p, seed, draws).view(Recorded))

    plain_asarray = np.asarray

    def asarray(value: Any, *args: Any, **kwargs: Any) -> Any:
        return value if isinstance(value, Recorded) else plain_asarray(value, *args, **kwargs)

    CALLS.clear()
    with monkeypatch.context() as patched:
        patched.setattr(run, "drawn", drawn)
        patched.setattr(np, "asarray", asarray)  # else it would lose the notebook
        should_costs([(part(0), QUANTITIES)], draws=DRAWS)
    return list(CALLS)


def best_of(times: int, call: Callable[[], Any]) -> float:
    found = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        found.append(time.perf_counter() - start)
    return min(found)


def estimate(count: int, draws: int = DRAWS) -> None:
    found = should_costs([(part(i), QUANTITIES) for i in range(count)], draws=draws)
    assert len(found.found) == count * len(QUANTITIES)


def test_two_hundred_parts_within_three_times_the_bare_numpy(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls = recorded_calls(monkeypatch)
    assert len(calls) > 200

    def bare() -> None:
        for _ in range(200):
            for func, args, kwargs in calls:
                func(*args, **kwargs)

    estimate(2)
    ours, numpy_alone = best_of(3, lambda: estimate(200)), best_of(3, bare)
    print(
        f"\n200 parts x 4 quantities x {DRAWS} draws: {ours:.2f} s; bare numpy "
        f"({len(calls)} calls a part) {numpy_alone:.2f} s; ratio {ours / numpy_alone:.2f}"
    )
    assert ours < 3.0 * numpy_alone


def test_two_hundred_parts_under_300_mb() -> None:
    tracemalloc.start()
    estimate(200)
    peak = tracemalloc.get_traced_memory()[1] / 1e6
    tracemalloc.stop()
    print(f"\npeak of 200 parts: {peak:.0f} MB")
    assert peak < 300.0


def test_linear_in_parts_and_draws() -> None:
    estimate(10)
    estimate(10, 4 * DRAWS)
    one, four = best_of(3, lambda: estimate(50)), best_of(3, lambda: estimate(200))
    more = best_of(3, lambda: estimate(50, 4 * DRAWS))
    print(f"\nfour times the parts: {four / one:.2f}; four times the draws: {more / one:.2f}")
    assert four < 5.0 * one
    assert more < 5.5 * one


def test_one_part_on_a_keystroke(monkeypatch: pytest.MonkeyPatch) -> None:
    calls = recorded_calls(monkeypatch)

    def bare() -> None:
        for func, args, kwargs in calls:
            func(*args, **kwargs)

    should_cost(part(0), 25)
    whole = best_of(5, lambda: should_cost(part(1), 25))
    all_savings = best_of(3, lambda: savings(part(1), 25))
    alone = best_of(5, bare)
    print(
        f"\none part with drivers, assumptions and steps: {1000 * whole:.0f} ms; its savings: "
        f"{1000 * all_savings:.0f} ms; bare numpy of four quantities {1000 * alone:.1f} ms"
    )
    assert whole < 20.0 * alone
