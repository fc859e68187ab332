"""Slips by name: what each mistake would do to a price, how well it explains one, what to ask.

Two kinds. Exact ones need no statistics: quantity x unit against the line total, a price equal to
the shop's own price at another quantity, tax stated as included. The others explain a distance;
each says which share of the log distance it explains, and the runner-up is always shown beside
it. What the spread of prices hides (8 %, a missing finish of 20 %, a one-off counted twice in a
total) is asked, never claimed. Questions go to a shop: they hold none of the figures of others.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

TELL_SDS = 2.0  # a shift below two standard deviations can't be told from honest spread

# key -> plain words, as they stand on screen
NAMES: dict[str, str] = {
    "x10": "decimal point one place too far to the right (ten times too high)",
    "/10": "decimal point one place too far to the left (ten times too low)",
    "x100": "price per 100 read as a price of one (a hundred times too high)",
    "/100": "a hundred times too low (hundredths of the currency, or divided by 100)",
    "x1000": "price per 1000 or a thousands mark misread (a thousand times too high)",
    "/1000": "thousands mark read as a decimal point (a thousand times too low)",
    "x quantity": "total of the line given as the price of one",
    "/ quantity": "price of one divided by the quantity once more",
    "x2": "something counted twice (two times too high)",
    "other factor": "another currency or another price base on the whole reply",
    "arithmetic": "quantity times unit price is not the line total",
    "one-off inside": "one-off charge spread into the unit price",
    "one-off missing": "one-off charge left out",
    "tax included": "tax included in the price",
    "other break": "price of another quantity",
    "inch": "inches read as millimetres, or the other way",
    "dozen": "price of a dozen read as a price of one",
    "kg": "price per kilogram read as a price of one",
    "pound": "pounds read as kilograms, or the other way",
    "scope missing": "part of the scope is not in the price",
    "material": "the material is out against our estimate",
    "set-up": "the set-up is out against our estimate; perhaps a one-off counted in it",
    "run": "the run time is out against our estimate",
    "finish": "the finish is out against our estimate; perhaps another finish",
    "inspection": "the inspection is out against our estimate",
    "callout": "run and inspection are out together; perhaps a callout read otherwise",
    "": "no named mistake fits",
}


@dataclass(frozen=True, slots=True)
class Candidate:
    """A mistake that might explain a price: its key, what it multiplies a price by, and detail."""

    key: str
    factor: float
    detail: str = ""


@dataclass(frozen=True, slots=True)
class Explanation:
    """How well a candidate explains a distance.

    Args:
        key: as in ``NAMES``, or ``currency <code>``.
        factor: what the price is multiplied by if this is what happened.
        fit: share of the log distance that it explains, 0 to 1.
        left: log distance left over.
        tellable: whether a shift of this size can be told from honest spread at all.
        detail: which break, which tax rate, which elements.
    """

    key: str
    factor: float
    fit: float
    left: float
    tellable: bool
    detail: str = ""


def name_of(key: str) -> str:
    """Plain words for a slip's key; currencies are named by code.

    >>> name_of("x quantity")
    'total of the line given as the price of one'
    >>> name_of("CNY")
    'figures in CNY taken for the project currency'
    """
    if key in NAMES:
        return NAMES[key]
    if key.startswith("/"):
        return f"figures in the project currency taken for {key[1:]}"
    return f"figures in {key} taken for the project currency"


def candidates(
    *,
    quantity: float | None = None,
    price: float | None = None,
    own_breaks: Mapping[float, float] | None = None,
    one_off: float | None = None,
    tax_rates: Sequence[float] = (),
    currency_ratios: Mapping[str, float] | None = None,
    shares: Mapping[str, float] | None = None,
    mass_kg: float | None = None,
) -> tuple[Candidate, ...]:
    """Every mistake that the facts at hand allow, each with the factor it puts on a price.

    Args:
        quantity: pieces of the line.
        price: the price in question; needed for breaks and one-offs.
        own_breaks: the same shop's prices by quantity.
        one_off: the one-off charge of this part, the shop's own or our estimate.
        tax_rates: rates that might be inside, as .19.
        currency_ratios: units of a currency in play per unit of the project's.
        shares: share of each element (finish, inspection, ...) in our should-cost.
        mass_kg: mass of one piece, for a price per kilogram.
    """
    found = [
        Candidate("x10", 10.0), Candidate("/10", 0.1), Candidate("x100", 100.0),
        Candidate("/100", 0.01), Candidate("x1000", 1000.0), Candidate("/1000", 0.001),
        Candidate("x2", 2.0), Candidate("dozen", 12.0), Candidate("inch", 25.4),
        Candidate("inch", 1 / 25.4), Candidate("pound", 2.2046226), Candidate("pound", 0.45359237),
    ]  # fmt: skip
    if quantity is not None and quantity >= 2:
        found += [Candidate("x quantity", quantity), Candidate("/ quantity", 1 / quantity)]
    for code, ratio in sorted((currency_ratios or {}).items()):
        if ratio > 0 and ratio != 1.0:
            found += [Candidate(code, ratio), Candidate(f"/{code}", 1 / ratio)]
    for rate in tax_rates:
        if rate > 0:
            found.append(Candidate("tax included", 1 + rate, f"{rate * 100:g} %"))
    if one_off and quantity and price and price > one_off / quantity:
        inside = price / (price - one_off / quantity)
        found.append(Candidate("one-off inside", inside, f"{one_off:g} over {quantity:g} pcs"))
    if one_off and quantity and price:
        missing = price / (price + one_off / quantity)
        found.append(Candidate("one-off missing", missing, f"{one_off:g} over {quantity:g} pcs"))
    for other, other_price in sorted((own_breaks or {}).items()):
        if quantity and price and other != quantity and other_price == price:
            found.append(Candidate("other break", math.nan, f"{other:g} pcs"))
    if mass_kg and mass_kg > 0:
        found.append(Candidate("kg", 1 / mass_kg, f"{mass_kg:g} kg a piece"))
    for element, share in sorted((shares or {}).items()):
        if 0 < share < 1:
            found.append(Candidate("scope missing", 1 - share, element))
    return tuple(found)


def explain(
    distance: float, sd: float, possible: Sequence[Candidate]
) -> tuple[Explanation | None, Explanation | None]:
    """The candidate that explains a log distance best, and the runner-up under another name.

    Honest silence: a candidate whose shift is below two predictive standard deviations is not
    told from honest spread and never comes first; if none can be told, both are None. A candidate
    must bring the price nearer to what was expected.

    Args:
        distance: log(price / expected price), leave-one-out.
        sd: its predictive standard deviation.
        possible: from ``candidates``.
    """
    rows: list[Explanation] = []
    for candidate in possible:
        if math.isnan(candidate.factor):  # the very same figure at another quantity: exact
            rows.append(Explanation(candidate.key, 1.0, 1.0, 0.0, True, candidate.detail))
            continue
        shift = math.log(candidate.factor)
        left = distance - shift
        if distance == 0.0 or abs(left) >= abs(distance):
            continue
        tellable = abs(shift) >= TELL_SDS * sd
        fit = 1.0 - abs(left) / abs(distance)
        row = Explanation(candidate.key, candidate.factor, fit, left, tellable, candidate.detail)
        rows.append(row)
    told = [row for row in rows if row.tellable and abs(distance) >= TELL_SDS * sd]
    told.sort(key=lambda row: (abs(row.left), row.key, row.detail))
    if not told:
        return None, None
    best = told[0]
    second = next((row for row in told if row.key != best.key), None)
    return best, second


def arithmetic_gap(
    quantity: Decimal, unit: Decimal, total: Decimal, *, unit_digits: int, minor_digits: int = 2
) -> Decimal | None:
    """How far a line total is from quantity x unit price, or None where rounding explains it.

    Tolerance: half a minor unit + quantity x half of the unit price's last digit.

    >>> arithmetic_gap(Decimal(25), Decimal("41.20"), Decimal("1030.00"), unit_digits=2)
    >>> arithmetic_gap(Decimal(25), Decimal("41.20"), Decimal("1300.00"), unit_digits=2)
    Decimal('270.0000')
    """
    half_minor = Decimal(1).scaleb(-minor_digits) / 2
    half_digit = Decimal(1).scaleb(-unit_digits) / 2
    gap = total - quantity * unit
    return (
        gap.quantize(Decimal("0.0001")) if abs(gap) > half_minor + quantity * half_digit else None
    )


def question_for(
    key: str,
    part: str,
    quantity: float | None = None,
    *,
    quoted: str = "",
    whole_reply: bool = False,
    detail: str = "",
) -> str:
    """The question to send to the shop, in plain words; only the shop's own figures are in it.

    Args:
        key: of the slip; anything unknown asks for a plain check.
        part: part number; ignored for a whole reply.
        quantity: pieces.
        quoted: the shop's own price as it printed it, with currency.
        whole_reply: the question is about all prices of the reply.
        detail: element, tax rate or break, from the explanation.

    >>> question_for("x100", "SB-110", 25, quoted="4120.00 EUR")
    'Part SB-110, 25 pcs, 4120.00 EUR: is this the price of one piece or of 100 pieces?'
    """
    if whole_reply:
        about = "Your whole quotation"
    else:
        about = f"Part {part}" + (f", {quantity:g} pcs" if quantity is not None else "")
        about += f", {quoted}" if quoted else ""
    return f"{about}: {_asked(key, quantity, detail)}"


def _asked(key: str, quantity: float | None, detail: str) -> str:
    pieces = f"{quantity:g} pieces" if quantity is not None else "the whole quantity"
    fixed = {
        "x10": "could you check the decimal point of the price of one piece?",
        "/10": "could you check the decimal point of the price of one piece?",
        "x100": "is this the price of one piece or of 100 pieces?",
        "/100": "in which currency unit, and for how many pieces, is this price?",
        "x1000": "is this the price of one piece or of 1000 pieces?",
        "/1000": "could you check the decimal point and the thousands mark of this price?",
        "x quantity": f"is this the price of one piece or of {pieces}?",
        "/ quantity": f"is this the price of one piece when {pieces} are ordered?",
        "x2": "is anything counted twice, such as the set-up or the material?",
        "other factor": "in which currency and per how many pieces are the prices?",
        "arithmetic": "quantity times unit price is not the line total; which of them holds?",
        "one-off inside": "is a one-off charge (fixture, programming) part of the unit price?",
        "one-off missing": "do one-off charges (fixture, programming) come on top of this price?",
        "tax included": "is tax included in this price, and at which rate?",
        "other break": f"is this the price for this quantity, or for {detail or 'another one'}?",
        "inch": "which unit of length did you read from the drawing, millimetres or inches?",
        "dozen": "is this the price of one piece or of a dozen?",
        "kg": "is this the price of one piece or of one kilogram?",
        "pound": "which unit of mass is behind this price, kilograms or pounds?",
        "scope missing": f"is {detail or 'everything we asked for'} part of this price?",
        "material": "which material, form and stock size did you count on, and how many pieces?",
        "set-up": "how many set-ups did you count, and is a one-off charge among them?",
        "run": "which run time a piece did you count, and which callouts drive it?",
        "finish": "which finish did you count, and who makes it?",
        "inspection": "which inspection did you count, and which callouts drive it?",
        "callout": "which tolerances and which callouts drive run time and inspection here?",
    }
    if key in fixed:
        return fixed[key]
    if key and key not in NAMES:
        return "in which currency are these prices?"
    return "could you check this price once more, and tell us what drives it?"
