"""Payment terms as money: present value against payment in full on delivery.

One rule in the product: compound interest, 365 days, PV = sum a_k / (1 + r)^(d_k / 365), days
counted from delivery (negative: before). An early-payment discount is taken when money costs
less than the discount earns.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from rfq.model.quote import Instalment, Payment

_ONE = Decimal(1)
_YEAR = Decimal(365)


def present_value(flows: Sequence[tuple[Decimal, int]], money_percent: Decimal) -> Decimal:
    """Return the present value on the day of delivery.

    Args:
        flows: (amount, days from delivery; negative before it).
        money_percent: our cost of money a year.

    >>> round(present_value([(Decimal(100), 30)], Decimal(8)), 3)
    Decimal('99.369')
    """
    growth = 1 + money_percent / 100
    return sum(
        (amount * growth ** (-Decimal(days) / _YEAR) if days else amount for amount, days in flows),
        Decimal(0),
    )


def discount_rates(percent: Decimal, discount_days: int, net_days: int) -> tuple[Decimal, Decimal]:
    """Return what an early-payment discount earns a year: simple on 360 days, effective on 365.

    >>> simple, effective = discount_rates(Decimal(2), 10, 30)
    >>> round(simple * 100, 2), round(effective * 100, 1)
    (Decimal('36.73'), Decimal('44.6'))
    """
    gain = percent / (100 - percent)
    days = Decimal(net_days - discount_days)
    return gain * 360 / days, (1 + gain) ** (_YEAR / days) - 1


@dataclass(frozen=True, slots=True)
class TermsEffect:
    """What payment terms do to an amount.

    Args:
        factor: present value of 1; below one where we pay late.
        before_delivery: share that is paid before delivery.
        discount_taken: whether the early-payment discount is taken.
        words: the reason, for the bridge.
        question: what the shop has to say first, or empty.
    """

    factor: Decimal
    before_delivery: Decimal
    discount_taken: bool
    words: str
    question: str = ""


def days_from_delivery(instalment: Instalment, lead_days: int | None) -> int | None:
    """Return when an instalment is due, in days from delivery; None where that is unknown."""
    match instalment.event:
        case "delivery" | "invoice":
            return instalment.days
        case "before delivery":
            return -instalment.days
        case "order":
            return None if lead_days is None else instalment.days - lead_days


def terms_effect(
    payment: Payment | None, money_percent: Decimal, lead_days: int | None
) -> TermsEffect:
    """Return what payment terms are worth against payment in full on delivery.

    Args:
        payment: as understood from the reply; None where nothing was said.
        money_percent: our cost of money a year.
        lead_days: calendar days from order to delivery; needed where something is due at order.
    """
    if payment is None or (not payment.instalments and not payment.discount_percent):
        return TermsEffect(_ONE, Decimal(0), False, "", "What are your payment terms?")
    # a discount without a net date: nothing is gained by waiting, as far as we know
    instalments = payment.instalments or (
        Instalment(share=_ONE, days=payment.discount_days, event="invoice"),
    )
    flows: list[tuple[Decimal, int]] = []
    early = Decimal(0)
    for instalment in instalments:
        days = days_from_delivery(instalment, lead_days)
        if instalment.event in ("order", "before delivery") and (days is None or days < 0):
            early += instalment.share
        if days is None:
            return TermsEffect(
                _ONE, early, False, "", "How many days after the order do you deliver?"
            )
        flows.append((instalment.share, days))
    shares = sum((share for share, _ in flows), Decimal(0))
    if abs(shares - 1) > Decimal("0.001"):
        question = f"Your instalments add up to {shares * 100:f} %; which is due when?"
        return TermsEffect(_ONE, early, False, "", question)
    plain = present_value(flows, money_percent)
    text = payment.text or _in_words(instalments)
    if payment.discount_percent:
        paid = (_ONE - payment.discount_percent / 100, payment.discount_days)
        with_discount = present_value([paid], money_percent)
        if with_discount < plain and not early:
            words = (
                f"{text}: {payment.discount_percent:f} % taken by paying on day "
                f"{payment.discount_days}, money at {money_percent:f} %"
            )
            return TermsEffect(with_discount, early, True, words)
    return TermsEffect(plain, early, False, f"{text}: money at {money_percent:f} %")


def _in_words(instalments: Sequence[Instalment]) -> str:
    return ", ".join(
        f"{instalment.share * 100:f} % {instalment.days} days "
        + ("" if instalment.event == "before delivery" else "from ")
        + instalment.event
        for instalment in instalments
    )
