"""Money over time: present value, annuity, and what terms of payment are worth.

The product's rule for terms is compound interest on 365 days; the simple forms here are the
textbooks', kept for checking against them.
"""

from __future__ import annotations

from collections.abc import Sequence

from rfq.engine.cost.errors import require


def present_value(flows: Sequence[float], rate: float) -> float:
    """Net present value of flows a year apart, the first now: sum a_k / (1 + r)^k.

    >>> present_value([-1000, 300, 420, 680], 0.08)
    177.666
    """
    require(rate > -1, "rate", "an interest rate must be above -100 %")
    return sum(flow / (1.0 + rate) ** k for k, flow in enumerate(flows))


def annuity(capital: float, rate: float, years: int) -> float:
    """Equal yearly payment that repays a capital: C r / (1 - (1 + r)^-n).

    >>> annuity(100_000, 0.05, 10)
    12950.4575
    """
    require(years >= 1, "years", "an annuity runs for at least one year")
    return capital / years if rate == 0 else capital * rate / (1.0 - (1.0 + rate) ** -years)


def simple_present(amount: float, days: float, rate: float) -> float:
    """Textbook variant: an amount due in some days at simple interest, today: a (1 - r d / 365).

    >>> simple_present(1000.0, 60, 0.06)
    990.136986
    """
    return amount * (1.0 - rate * days / 365.0)


def discount_rate(discount: float, discount_days: int, net_days: int, year: int = 365) -> float:
    """Yearly cost of not taking a discount: d / (1 - d) x year / (net - discount days).

    >>> discount_rate(0.02, 10, 30)
    0.372449
    """
    require(net_days > discount_days, "net_days", "the net day must come after the discount's")
    return discount / (1.0 - discount) * year / (net_days - discount_days)
