"""What moved between rounds: the parts add up, and each cause lands where it belongs."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rfq.engine.negotiate.movement import KINDS, Movement, movements
from rfq.model.codes import CellState
from rfq.model.comparison import BridgeStep, Comparison, Line, PriceCell, Quoted

D = Decimal
BASE = {"quoted price": "100", "one-offs": "4", "carriage": "2", "duty": "4.24"}


def comparison(steps: dict[str, str], currency: str = "EUR", at: int = 25) -> Comparison:
    bridge = tuple(BridgeStep(step=n, amount=D(a), reason="") for n, a in steps.items())
    cell = PriceCell(
        shop="mill",
        state=CellState.QUOTED,
        quoted=Quoted(amount=D(steps["quoted price"]), currency=currency, per="1", quantity=at,
                      place=""),
        comparable=sum((step.amount for step in bridge), D(0)),
        bridge=bridge,
    )  # fmt: skip
    line = Line(part="P-1", revision="A", quantity=25, prices=(cell,))
    return Comparison(
        project="x", request="R", currency="EUR", round=1, as_of=date(2026, 7, 31), lines=(line,)
    )


def moved(after: dict[str, str], **more: object) -> Movement:
    (found,) = movements(comparison(BASE), comparison({**BASE, **after}, **more))  # type: ignore[arg-type]
    return found


def only(found: Movement, kind: str) -> bool:
    return all((found.parts[name] != 0) == (name == kind) for name in KINDS)


def test_a_lower_price_is_a_concession_and_duty_follows_it() -> None:
    found = moved({"quoted price": "90", "duty": "3.84"})  # 4 % of 106 then, of 96 now
    assert only(found, "concession")
    assert found.concession == found.whole == D("-10.4")


@pytest.mark.parametrize(
    ("after", "kind", "amount"),
    [
        ({"missing scope": "6"}, "scope", "6"),
        ({"carriage": "0", "duty": "4.16"}, "terms", "-2.08"),
        ({"duty": "5.24"}, "terms", "1"),
        ({"one-offs": "0", "duty": "4.08"}, "concession", "-4.16"),
        ({"minimum order quantity": "3"}, "quantity", "3"),
    ],
)
def test_each_cause_lands_where_it_belongs(after: dict[str, str], kind: str, amount: str) -> None:
    found = moved(after)
    assert only(found, kind)
    assert found.parts[kind] == D(amount)
    assert kind in found.words


def test_another_break_is_no_concession() -> None:
    found = moved({"quoted price": "90", "duty": "3.84"}, at=100)
    assert only(found, "quantity")


def test_the_exchange_rate_is_nobodys_concession() -> None:
    """The same 110 dollars, worth 100 euros then and 90 now."""
    before, after = comparison(BASE, "USD"), comparison({**BASE, "quoted price": "90"}, "USD")
    (found,) = movements(before, after, ({"USD": D("0.909090909")}, {"USD": D("0.818181818")}))
    # The one-off of 4 is in dollars too, so the rate alone would have brought it to 3.60.
    assert found.parts["currency"] == pytest.approx(D("-10.4"), abs=D("0.01"))
    assert found.parts["currency"] + found.parts["concession"] + found.parts["terms"] == -10


def test_only_prices_of_both_rounds_are_compared() -> None:
    empty = comparison(BASE).model_copy(update={"lines": ()})
    assert movements(empty, comparison(BASE)) == ()


@settings(max_examples=60, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(
            ["one-offs", "carriage", "duty", "insurance", "payment terms", "missing scope",
             "packing", "discount", "minimum order quantity", "accepted parts"]
        ),
        st.decimals(-20, 20, places=4),
    ),
    st.dictionaries(
        st.sampled_from(["duty", "carriage", "missing scope", "discount", "accepted parts"]),
        st.decimals(-20, 20, places=4),
    ),
    st.decimals(1, 500, places=2),
    st.sampled_from([25, 100]),
)  # fmt: skip
def test_the_parts_always_add_up(
    before: dict[str, Decimal], after: dict[str, Decimal], price: Decimal, at: int
) -> None:
    old = {"quoted price": "100", **{name: str(v) for name, v in before.items()}}
    new = {**old, "quoted price": str(price), **{name: str(v) for name, v in after.items()}}
    (found,) = movements(comparison(old), comparison(new, at=at))
    assert sum(found.parts.values(), D(0)) == found.whole
