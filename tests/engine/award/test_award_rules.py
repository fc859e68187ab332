"""Rules by name, the price of each, and which to relax."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pandas as pd
import pytest

from rfq.engine.award.cheapest import NoAward, cheapest_award
from rfq.engine.award.rules import active_rules, without
from rfq.model.award import Rules

EVERY = Rules(
    most_shops=2,
    highest_share_percent=70,
    two_shops_for_critical=True,
    without_odd=True,
    need_date=date(2026, 10, 1),
    capacity={"a": 10},
    least_order_value={"b": Decimal(50)},
    shop_fixed_cost={"c": Decimal(30)},
    forbidden=("d", "e/P-1"),
    only=("a", "b"),
)


def test_each_rule_can_be_taken_away_by_its_name() -> None:
    names = active_rules(EVERY)
    assert len(names) == 11
    for name in names:
        rest = active_rules(without(EVERY, name))
        assert name not in rest
        gone = set(names) - set(rest)
        # Without two shops for critical parts their highest share means nothing.
        assert gone == {name} or name == "critical parts from two shops"
    assert active_rules(Rules()) == ()


def test_a_rule_that_does_not_bind_cannot_be_taken_away() -> None:
    with pytest.raises(KeyError, match="does not bind"):
        without(Rules(), "no odd price")


def _table(**more: list[float]) -> pd.DataFrame:
    return pd.DataFrame(
        {
            "line": ["p", "p", "q", "q"],
            "shop": ["Shop A", "Shop B", "Shop A", "Shop B"],
            "quantity": [5, 5, 5, 5],
            "each": [10.0, 12.0, 9.0, 7.0],
            **more,
        }
    )


def test_a_plain_table_with_any_names_of_shops() -> None:
    award = cheapest_award(_table(), {})
    assert award.total == 85
    assert {(share.part, share.shop) for share in award.shares} == {
        ("p", "Shop A"),
        ("q", "Shop B"),
    }
    assert cheapest_award(_table(), {"most_shops": 1}).total == 95
    assert cheapest_award(_table(), {"forbidden": ("Shop B/q",)}).total == 95
    assert cheapest_award(_table(once=[0, 0, 0, 11]), {}).total == 95
    fixed = cheapest_award(_table(), {"shop_fixed_cost": {"Shop B": 20}})
    assert (fixed.total, fixed.shops) == (95, ("Shop A",))


def test_infeasible_says_what_to_relax() -> None:
    with pytest.raises(
        NoAward, match="relax 'capacity of Shop A: 4 pcs' or 'only from Shop A'"
    ) as e:
        cheapest_award(_table(), {"capacity": {"Shop A": 4}, "only": ("Shop A",)})
    assert set(e.value.relax) == {"capacity of Shop A: 4 pcs", "only from Shop A"}


@pytest.mark.parametrize(
    ("table", "rules", "said"),
    [
        (_table().drop(columns="each"), {}, "lacks the column each"),
        (_table(need=[5, 6, 5, 5]), {}, "Line p has several"),
        (_table(need=[0, 0, 5, 5]), {}, "Line p needs 0"),
        (_table(each=[-1.0, 1, 1, 1]), {}, "numbers of 0 or more"),
        (_table(each=[float("nan"), 1, 1, 1]), {}, "numbers of 0 or more"),
        (_table(), {"without_odd": True}, "leave those rules out"),
    ],
)
def test_what_cannot_be_awarded_is_said(table: pd.DataFrame, rules: dict, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        cheapest_award(table, rules)


def test_the_public_name_is_this_one() -> None:
    import rfq

    assert rfq.cheapest_award is cheapest_award
