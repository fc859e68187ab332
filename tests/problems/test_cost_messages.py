"""The gallery of the should-cost: what is wrong with an entry, and the words said of it."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import pytest

from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.estimate import should_cost
from rfq.model.part import Part, Shape
from rfq.model.rates import Rate, Rates

ROOT = Path(__file__).parent.parent.parent

BLOCK = {"length_mm": Decimal(100), "width_mm": Decimal(60), "height_mm": Decimal(30)}


def part(material: str = "EN AW-6082", **shape: object) -> Part:
    entry = Shape.model_validate({**BLOCK, **shape})
    return Part(number="SB-1", revision="A", name="block", material=material, shape=entry)


ONE = Rate(low=Decimal(1), typical=Decimal(2), high=Decimal(3), unit="min")

CASES = [
    (
        "E001",
        lambda: should_cost(part().model_copy(update={"shape": None}), 5),
        "part SB-1 has no typed entry; give its sizes, finished mass and surface area.",
    ),
    (
        "E001",
        lambda: should_cost(part(height_mm=None), 5),
        "part SB-1 needs height_mm (or its stock's three sizes).",
    ),
    (
        "E002",
        lambda: should_cost(part(finished_mass_kg=Decimal(377)), 5),
        "part SB-1: a finished mass of 377 kg is more than its stock weighs (0.669 kg of "
        "EN AW-6082); check the mass, the sizes or the material.",
    ),
    (
        "E002",
        lambda: should_cost(part(length_mm=Decimal(100_000)), 5),
        "part SB-1: length_mm is 100000; the model is good for 0.2 to 5000 mm, so check the unit.",
    ),
    (
        "E002",
        lambda: should_cost(part(surface_area_dm2=Decimal(24_600)), 5),
        "part SB-1: a surface of 24600 dm2 is out of sense for a part of this size; check the "
        "unit (1 dm2 = 10 000 mm2).",
    ),
    (
        "E002",
        lambda: should_cost(part(), 0),
        "a quantity of 0 is out of range; it goes from 1 to 10 000 000.",
    ),
    (
        "E002",
        lambda: should_cost(part(), 5, Rates(parameters={"setup_base": ONE})),
        "'setup_base' is given in min; this parameter is in h.",
    ),
    (
        "E003",
        lambda: should_cost(part(material="EN AW-6028"), 5),
        "'EN AW-6028' is no material we know; the nearest is EN AW-6082.",
    ),
    (
        "E003",
        lambda: should_cost(part(), 5, Rates(parameters={"setup_bas": ONE})),
        "no parameter is called 'setup_bas'; did you mean 'setup_base'?",
    ),
    (
        "E003",
        lambda: should_cost(part(), 5, Rates(region="BR")),
        "region 'BR' has no machine rates; use one of DE, FR, PL, TR, CN, IN, US, or a country of "
        "these.",
    ),
]


@pytest.mark.parametrize(("code", "call", "message"), CASES)
def test_each_message_says_what_was_found_and_what_would_be_right(code, call, message) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(EstimateError) as caught:
        call()
    assert (caught.value.problem.code, caught.value.problem.message) == (code, message)
    assert caught.value.problem.place.path


def test_every_code_of_the_should_cost_is_shown() -> None:
    used: set[str] = set()
    for path in (ROOT / "rfq" / "engine" / "cost").glob("*.py"):
        used |= set(re.findall(r'"(E\d\d\d)"', path.read_text(encoding="utf-8")))
    assert used == {code for code, _, _ in CASES}
