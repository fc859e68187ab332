# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Prices in sentences: a line that names a part, pieces and money ('10 pcs at EUR 45.90 each').

A part named alone heads the lines below it. What a sentence leaves open (each or for all, how
many) is asked about.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from rfq.intake import row_words as say
from rfq.intake.lead_said import lead_time
from rfq.intake.matching import NOTHING, Match, looks_like_part, split_revision
from rfq.intake.money import PIECE, base_in, currencies_in, tax_in
from rfq.intake.numbers import TOKEN, Figure, Habit, figure, habit, plain_digits
from rfq.intake.settled import DIVISOR, fits
from rfq.intake.terms_found import Said
from rfq.problems import Place, Severity

if TYPE_CHECKING:
    from rfq.intake.currency import Currencies
    from rfq.intake.work import Work
    from rfq.model.quote import Price

_PART = re.compile(r"(?<![\w/.-])[A-Za-z]{1,6}[-_ ]?\d{2,}(?:[-_./]?[A-Za-z0-9]+)*(?![\w-])")
_COUNT = re.compile(
    rf"(?<![\d.,/-])(?:(?:qty|quantity|menge|stückzahl|quantité|qté|quantità|q\.tà|cantidad|ilość|数量|batch of|lot of|los von)\s*[:.=]?\s*(?P<led>\d[\d.,']*)|(?P<count>\d[\d.,'’\u00a0\u202f]*)\s*[+]?\s*(?:x\s*)?(?:{PIECE}|off\b|x\b|sets?\b|pi[eè]ces?\b)(?![\w]))",
    re.IGNORECASE,
)
_EACH = re.compile(
    rf"(?i)\beach\b|\bea\b\.?|(?:/|per|je|pro|par|la|al|por|za|a|à)\s*(?:1\s*)?{PIECE}|\bzu je\b|\bje\b|\bapiece\b|\bcad\b|\bunit price\b|\bunitaire\b|\bunitario\b|\bpiece price\b|\bstückpreis\b|\beinzelpreis\b|单价|每件|(?:@|\bat\b|\bà\b|\ba\b|\bzu\b)\s*(?:[A-Z]{{3}}|[€$£¥])?\s*$"
)
_ALL = re.compile(
    r"(?i)\btotal(?:e|ly)?\b|\bin all\b|\bfor all\b|\baltogether\b|\blot\b|\bgesamt\w*|\bzusammen\b|\bpauschal\b|\bau total\b|\bin totale\b|\ben total\b|\brazem\b|总|合计|="
)
_NO_MONEY = re.compile(
    r"(?i)^\s*(?:mm|cm|m\b|kg|g\b|%|days?|weeks?|wochen|tage|h\b|hours?|°|µm|x\s*\d)"
)


@dataclass(frozen=True, slots=True)
class Spoken:
    """What the whole reply says of tax."""

    tax: str = ""
    percent: Decimal | None = None


@dataclass(slots=True)
class _Amount:
    start: int
    end: int
    read: Figure
    currencies: tuple[str, ...]
    before: str = ""
    after: str = ""


@dataclass(slots=True)
class _Line:
    said: Said
    text: str
    part: Match
    counts: list[tuple[int, tuple[int, ...]]] = field(default_factory=list)
    amounts: list[_Amount] = field(default_factory=list)


def spoken_prices(
    work: Work, money: Currencies, tax: Spoken, style: Habit, found: Sequence[Price]
) -> list[Price]:
    """Return the prices that sentences state, and add the one-off charges they state.

    Args:
        work: what is gathered so far; problems are added to it.
        money: statements of currency.
        tax: statement of tax.
        style: decimal sign of the tables' figures.
        found: prices of tables; a sentence that repeats one is not read again.
    """
    lines = [line for said in work.said if (line := _line(work, said))]
    shown = [a.read for line in lines for a in line.amounts]
    if not style.decimal:
        style = habit(shown)
    out: list[Price] = []
    part = NOTHING
    age = 99
    table_parts = {p.part for p in found}
    for line in lines:
        if line.part:
            part, age = line.part, 0
        else:
            age += 1
        if not line.amounts or not part or age > 5:
            continue
        if not line.part and (found or not line.counts):
            continue
        if re.search(
            r"(?i)instead of|statt|previous|older|bisher|au lieu de|invece di|was\s+(?:EUR|USD|€|\$)",
            line.text,
        ):
            place = line.said.place
            work.problem(
                "R040",
                f"A sentence speaks of another price of {part.part}: '{line.text[:120]}'; look which stands.",
                place,
                Severity.ASK,
                part.part,
            )
            continue
        out += _prices_of(work, line, part, money, tax, style, table_parts)
    return [
        p
        for p in out
        if not any(
            q.part == p.part and q.quantity == p.quantity and q.each == p.each and p.sure
            for q in found
        )
    ]


def _line(work: Work, said: Said) -> _Line | None:
    text = plain_digits(said.text)
    if len(text) > 600:
        return None
    match = work.known.find(text, loose=False)
    spot = (0, 0)
    if not match and not work.known.numbers:
        for found in _PART.finditer(text):
            if looks_like_part(found[0]) and not re.match(
                r"(?i)(?:rev|qty|pos|item|iso|din|en|aw|ral|tel|fax|kw|rfq|no|nr|q|m)[-_ ]?\d",
                found[0],
            ):
                stem, revision = split_revision(found[0])
                worded = re.match(
                    r"\W{0,3}(?:rev|index|ind|issue)\W*(\w{1,3})\b", text[found.end() :], re.I
                )
                match = Match(
                    stem, revision or (worded[1].upper() if worded else ""), 1.0, "as printed"
                )
                spot = found.span()
                break
    elif match:
        for found in _PART.finditer(text):
            if work.known.find(found[0], loose=False).part == match.part:
                spot = found.span()
                break
    line = _Line(said, text, match)
    masked = text[: spot[0]] + " " * (spot[1] - spot[0]) + text[spot[1] :]
    taken: list[tuple[int, int]] = []
    for found in _COUNT.finditer(masked):
        ahead = masked[max(0, found.start() - 5) : found.start()]
        if re.search(r"(?i)(?:/|per|je|pro)\s*$", ahead):
            continue
        number: str = found["led"] or found["count"]
        if re.search(r"[.,]\d{1,2}$", number) or currencies_in(
            masked[max(0, found.start() - 4) : found.start()], beside_number=True
        ):
            continue
        values = tuple(int(v) for v in figure(number.rstrip(".,")).values if v % 1 == 0 and v > 0)
        if values:
            line.counts.append((found.start(), values))
            taken.append(found.span())
    for found in TOKEN.finditer(masked):
        if any(a <= found.start() < b for a, b in taken):
            continue
        before, after = (
            masked[max(0, found.start() - 8) : found.start()],
            masked[found.end() : found.end() + 9],
        )
        near = currencies_in(before[-5:], beside_number=True) or currencies_in(
            after[:6], beside_number=True
        )
        if not near and (_NO_MONEY.match(after) or not re.search(r"[.,](?:\d{2}|-)", found[0])):
            continue
        if (
            re.search(
                r"(?i)\d{1,2}[./-]\d{1,2}[./-]\d{2,4}",
                masked[max(0, found.start() - 6) : found.end() + 6],
            )
            and not near
        ):
            continue
        read = figure(
            found[0].strip(" .,") if not re.search(r"[.,][-–—]+$", found[0]) else found[0]
        )
        if read.values:
            line.amounts.append(_Amount(found.start(), found.end(), read, near))
    for i, one in enumerate(line.amounts):
        left = line.amounts[i - 1].end if i else 0
        right = line.amounts[i + 1].start if i + 1 < len(line.amounts) else len(masked)
        one.before, one.after = masked[left : one.start], masked[one.end : right]
    return line if line.part or line.amounts else None


def _prices_of(
    work: Work, line: _Line, part: Match, money: Currencies, tax: Spoken, style: Habit, taken: set[str]
) -> list[Price]:  # fmt: skip
    from rfq.model.quote import Price

    place: Place = line.said.place
    prices: list[_Amount] = []
    totals: list[_Amount] = []
    for one in line.amounts:
        near = one.before[-40:] + " " + re.split(r"[,;]| plus | and | und ", one.after)[0][:40]
        own = (
            one.before[-28:]
            if say.ONE_OFF.search(one.before[-28:])
            else re.split(r"[,;.]", one.after)[0]
        )
        if say.ONE_OFF.search(own) and not _EACH.search(one.after[:14]):
            values = style.settle(one.read).values
            if len(values) == 1:
                work.one_offs.setdefault(part.part, []).append(
                    (values[0], own.strip()[:60] or "one-off", one.currencies, place)
                )
            else:
                work.problem(
                    "R024",
                    f"The one-off charge '{one.read.text}' of {part.part} can be read in two ways; ask which.",
                    place,
                    Severity.ASK,
                    part.part,
                )
        elif (
            _ALL.search(one.before[-14:] + one.after[:12])
            and not _EACH.search(one.after[:12])
            and len(line.amounts) > 1
        ):
            totals.append(one)
        elif say.charge_kind(near) in (
            "freight",
            "packing",
            "minimum order",
            "insurance",
            "certificate",
        ):
            continue
        else:
            prices.append(one)
    if not prices and totals:
        prices, totals = totals, []
    if not prices or (part.part in taken and not line.counts):
        return []
    counts: list[tuple[int, ...]] = [c for _, c in line.counts]
    asked = work.known.quantities.get(part.part, ())
    doubts_all: list[tuple[str, str]] = []
    if len(counts) == 1 and len(prices) > 1:
        counts = counts * len(prices) if False else counts
    if not counts and len(asked) == 1:
        counts = [(asked[0],)]
    out: list[Price] = []
    if len(counts) != len(prices):
        if len(prices) == 1 and not counts:
            doubts_all.append(
                ("R017", "no quantity stands beside the price; say for how many pieces it is meant")
            )
            counts = [(1,)]
        else:
            doubts_all.append(
                ("R017", "the sentence holds more figures than could be told apart; look at it")
            )
            counts = (counts + [(1,)] * len(prices))[: len(prices)]
    chosen = [style.settle(p.read).values for p in prices]
    falling = len(prices) > 1 and all(
        a[0] > b[0] for a, b in itertools.pairwise(chosen)
    ) and all(a[0] < b[0] for a, b in itertools.pairwise(counts))  # fmt: skip
    sentence_each = bool(_EACH.search(line.text))
    for number, (one, values, count) in enumerate(zip(prices, chosen, counts, strict=True)):
        doubts = list(doubts_all)
        quantity = count[0]
        if len(count) > 1:
            matching = [c for c in count if c in asked]
            quantity = matching[0] if matching else count[0]
            if not matching:
                doubts.append(
                    ("R017", f"the quantity can be read as {' or '.join(map(str, count))}")
                )
        after = one.after[:24]
        base = base_in(re.split(r"[;()]", after)[0].strip()) or base_in(one.before[-14:].strip())
        if base in ("", "1"):
            if (
                _EACH.search(after[:16])
                or _EACH.search(one.before[-24:])
                or (len(prices) > 1 and sentence_each)
                or falling
            ):
                base = "1"
            elif _ALL.search(one.before[-14:] + after[:14]):
                base = "lot"
            elif base == "" and sentence_each and len(prices) == 1:
                base = "1"
            elif base == "":
                base = "1"
                if quantity > 1 and not totals:
                    doubts.append(
                        (
                            "R022",
                            "the sentence doesn't say whether the price is for one piece or for all",
                        )
                    )
        if base == "10" and not re.search(r"(?:/|per|je|pro)\s*10\b", after):
            base = "1"
        printed = values[0]
        total: Decimal | None = None
        if totals:
            total_values = style.settle(totals[min(number, len(totals) - 1)].read).values
            good = [
                (v, t) for v in values for t in total_values
                if fits(v, DIVISOR.get(base, 1), quantity, t)
            ]  # fmt: skip
            if good:
                printed, total = good[0]
                values = (printed,)
            elif len(totals) == len(prices):
                doubts.append(
                    (
                        "R012",
                        f"{quantity} x {printed} isn't the total {total_values[0]}; ask which is right",
                    )
                )
        if len(values) > 1:
            doubts.append(
                ("R011", f"'{one.read.text}' can be read as {' or '.join(map(str, values))}")
            )
        each: Decimal | None
        if base == "lot":
            each = printed / quantity
        elif base == "kg":
            each = None
            doubts.append(("R030", "the price is per kg and no weight stands beside it"))
        else:
            each = printed / DIVISOR.get(base, 1)
        code, doubt, note = money.of_words(
            one.currencies or next((p.currencies for p in prices if p.currencies), ())
        )
        if doubt:
            doubts.append(("R015", doubt))
        if note:
            work.problem("R015", "The sign $ is taken as US dollars.", place, Severity.NOTE)
        state = tax_in(line.text)[0] or tax.tax
        if state == "included":
            if tax.percent is None:
                doubts.append(("R016", "tax is inside the price and its rate isn't stated"))
            elif each is not None:
                from rfq.intake.prices import net_of

                each = net_of(each, tax.percent)
        if part.sure < 0.9:
            doubts.append(("R019", f"the part may be {part.part}; confirm it"))
        asked_revision = work.known.numbers.get(part.part, "")
        if asked_revision and part.revision and part.revision.upper() != asked_revision.upper():
            doubts.append(
                ("R020", f"the price is for revision {part.revision}, asked was {asked_revision}")
            )
        if each is not None and each <= 0:
            doubts.append(("R023", "the price is nought"))
        for problem, words in doubts:
            work.problem(
                problem, f"{part.part} at {quantity}: {words}.", place, Severity.ASK, part.part
            )
        lead: Any = (
            lead_time(line.text)
            if re.search(r"(?i)deliver|lead|liefer|délai|consegna|plazo|termin|交", line.text)
            else None
        )
        alternative = line.text[:120] if say.ALTERNATIVE.search(line.text) else ""
        out.append(
            Price(
                part=part.part, revision=part.revision or asked_revision, quantity=quantity, printed=printed,
                per=base, each=each, currency=code, tax=state or "not stated", tax_percent=tax.percent if state else None,
                line_total=total, lead=lead.text[:100] if lead else "", alternative=alternative, place=place,
                sure=not doubts, evidence="read from a sentence", note=line.text[:200],
            )
        )  # fmt: skip
    once = work.one_offs.get(part.part, [])
    if once and out:
        sum_ = sum((v for v, _, _, _ in once), Decimal(0))
        out = [p.model_copy(update={"one_off": sum_, "one_off_name": once[0][1]}) for p in out]
    return out
