# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Charges as sentences say them."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from rfq.intake.money import PIECE, base_in, currencies_in
from rfq.intake.numbers import TOKEN, Habit, figure
from rfq.intake.row_words import charge_kind
from rfq.intake.sentences import IGNORE, clauses_of
from rfq.intake.terms_found import Said, Terms
from rfq.model.quote import Charge

PERCENT = re.compile(r"(?<![\d.,])(\d{1,2}(?:[.,]\d{1,3})?)\s*%")


def charges_said(sentence: str, said: Said, out: Terms, style: Habit) -> None:
    """Gather the charges that a sentence names."""
    for clause in clauses_of(sentence):
        kind = charge_kind(clause)
        if kind in ("other", "finish") or re.search(
            r"skonto|escompte|\d\s*/\s*\d+\s*,?\s*net|net \d", clause, IGNORE
        ):
            continue
        if kind == "discount" and re.search(
            r"days|tage|jours|giorni|días|dni|prompt|early", clause, IGNORE
        ):
            continue
        percent = PERCENT.search(clause)
        # '115' of the part number SB-115 is no amount
        amounts = [
            m for m in TOKEN.finditer(clause) if not re.search(r"[^\W_][-_/]$", clause[: m.start()])
        ]
        if percent and kind in ("packing", "freight", "insurance", "surcharge", "discount"):
            value = Decimal(percent[1].replace(",", "."))
            if kind == "discount":
                if re.search(
                    r"\bline\b|\bitem\b|pos\.|\bif\b|\babove\b|\bab \d|\bover\b|\bfrom\b|\bbei abnahme\b",
                    clause,
                    IGNORE,
                ):
                    out.doubts.append(
                        (
                            "R043",
                            f"'{clause[:80]}' is a discount on a condition; it is not applied",
                            said.place,
                        )
                    )
                    continue
                out.put("order_discount_percent", value, said.place, f"order discount {value} %")
            else:
                out.charges.append(
                    Charge(name=clause[:120], kind=kind, percent=value, place=said.place)
                )
                out.used[said.place] = f"{kind} {value} %"
            continue
        currency = currencies_in(clause, beside_number=True)
        if kind == "certificate" and not currency:
            continue
        priced = [m for m in amounts if _beside_currency(clause, m, currency)]
        if len(amounts) >= 1 and (
            priced or (len(amounts) == 1 and re.search(r"[:=]\s*[\d.,' ]+$", clause))
        ):
            token = priced[0] if priced else amounts[0]
            read = style.settle(figure(token[0].strip(" .,")))
            if len(read.values) != 1 and read.values:
                out.doubts.append(
                    ("R024", f"'{token[0]}' in '{clause[:60]}' has two readings", said.place)
                )
                continue
            if not read.values:
                continue
            value = read.values[0]
            code = currency[0] if len(currency) == 1 else ""
            if kind == "minimum order":
                out.charges.append(
                    Charge(
                        name=clause[:120],
                        kind="minimum order",
                        below=value,
                        currency=code,
                        place=said.place,
                    )
                )
            else:
                per: Any = "order"
                after = clause[token.end() : token.end() + 14]
                if base_in(after.strip()) == "1" or re.match(
                    rf"\s*(?:\S{{1,3}}\s*)?/\s*{PIECE}", after
                ):
                    per = "piece"
                elif base_in(after.strip()) == "kg":
                    per = "kg"
                out.charges.append(
                    Charge(
                        name=clause[:120],
                        kind=kind,
                        amount=value,
                        currency=code,
                        per=per,
                        place=said.place,
                    )
                )
            out.used[said.place] = f"{kind} {value}"


def _beside_currency(text: str, token: re.Match[str], currency: tuple[str, ...]) -> bool:
    if not currency:
        return False
    around = (
        text[max(0, token.start() - 5) : token.start()] + " " + text[token.end() : token.end() + 9]
    )
    return bool(currencies_in(around, beside_number=True))
