# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""The block of terms of our own response sheet."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

from rfq.intake.cells import amount
from rfq.intake.dates import dates
from rfq.intake.lead_said import lead_time
from rfq.intake.payment_terms import payment_said
from rfq.intake.response_fields import EVENTS, FilledSheet, key_of
from rfq.intake.terms_found import Said, Terms
from rfq.model import response as sheet
from rfq.model.quote import Charge, LeadTime
from rfq.problems import Severity


def terms_of(own: FilledSheet, currency: str) -> tuple[Terms, list[Charge]]:
    """Return the terms and the charges of the block of terms."""
    terms = Terms()
    charges: list[Charge] = []

    def put(name: str, value: Any, label: str) -> None:
        cell = own.value(label)
        if cell is not None:
            terms.put(name, value, own.place(cell), str(value))

    rule = re.match(r"[A-Za-z]{3}", own.text(sheet.TERM_DELIVERY))
    text = own.text(sheet.TERM_DELIVERY)
    if rule and rule[0].upper() in (
        "EXW",
        "FCA",
        "CPT",
        "CIP",
        "DAP",
        "DPU",
        "DDP",
        "FAS",
        "FOB",
        "CFR",
        "CIF",
    ):
        put("incoterm", rule[0].upper(), sheet.TERM_DELIVERY)
        put("incoterm_text", text[:200], sheet.TERM_DELIVERY)
    elif text:
        own.say(
            "R041",
            f"'{text[:60]}' is none of the eleven Incoterms 2020 rules.",
            own.value(sheet.TERM_DELIVERY),
            Severity.NOTE,
        )
    if own.text(sheet.TERM_PLACE):
        put("place", own.text(sheet.TERM_PLACE), sheet.TERM_PLACE)
    payment = own.value(sheet.TERM_PAYMENT)
    if payment is not None and payment.text:
        payment_said(
            payment.text
            if re.search(r"(?i)pay|net|skonto", payment.text)
            else f"payment {payment.text}",
            Said(payment.text, own.place(payment)),
            terms,
        )
    valid = own.value(sheet.TERM_VALID)
    if valid is not None and valid.text:
        found = dates(valid.text)
        if found:
            put("valid_until", found[0], sheet.TERM_VALID)
        if len(found) != 1:
            own.say(
                "R042",
                f"'{valid.text[:40]}' is {'two dates' if found else 'no date'}; write it as 2026-12-31.",
                valid,
                Severity.NOTE if found else Severity.ASK,
            )
        put("validity_text", valid.text[:100], sheet.TERM_VALID)
    said = key_of(own.text(sheet.TERM_TAX))
    if said in ("excluded", "included"):
        put("tax", said, sheet.TERM_TAX)
    elif said and said != "not stated":
        percent = re.search(r"(\d{1,2}(?:[.,]\d+)?)\s*%", said)
        state = (
            "included" if "incl" in said else "excluded" if "excl" in said or "net" in said else ""
        )
        if state:
            put("tax", state, sheet.TERM_TAX)
            if percent:
                terms.values["tax_percent"] = Decimal(percent[1].replace(",", "."))
        else:
            own.say(
                "R016",
                f"Tax '{said[:40]}' is neither 'excluded' nor 'included'.",
                own.value(sheet.TERM_TAX),
            )
    event = key_of(own.text(sheet.TERM_LEAD_FROM))
    for label, name in ((sheet.TERM_LEAD, "lead"), (sheet.TERM_FIRST_LEAD, "first_article_lead")):
        read = _lead(own.text(label), event)
        if read is not None:
            put(name, read, label)
    for label, kind in (
        (sheet.TERM_FREIGHT, "freight"),
        (sheet.TERM_PACKING, "packing"),
        (sheet.TERM_MINIMUM, "minimum order"),
    ):
        cell = own.value(label)
        money = amount(cell)
        if cell is None or money.state in ("blank", "dash", "included"):
            continue
        if len(money.values) != 1:
            own.say("R024", f"{label}: '{cell.text[:40]}' is no amount that can be read.", cell)
        elif money.percent:
            charges.append(
                Charge(name=label, kind=kind, percent=money.values[0], place=own.place(cell))
            )
        elif kind == "minimum order":
            charges.append(
                Charge(
                    name=label,
                    kind=kind,
                    below=money.values[0],
                    currency=currency,
                    place=own.place(cell),
                )
            )
        elif money.values[0]:
            charges.append(
                Charge(
                    name=label,
                    kind=kind,
                    amount=money.values[0],
                    currency=currency,
                    place=own.place(cell),
                )
            )
    owner = own.value(sheet.TERM_TOOLING_OWNER)
    if owner is not None and owner.text:
        charges.append(
            Charge(
                name=sheet.TERM_TOOLING_OWNER,
                kind="tooling",
                owner=owner.text[:100],
                place=own.place(owner),
            )
        )
    origin = own.text(sheet.TERM_ORIGIN).upper()
    if re.fullmatch("[A-Z]{2}", origin):
        put("origin", origin, sheet.TERM_ORIGIN)
    return terms, charges


def _lead(text: str, event: str) -> LeadTime | None:
    if not text:
        return None
    if re.fullmatch(r"\d{1,3}", text):
        text = f"{text} days"
    read = lead_time(text)
    if read is not None and event in EVENTS:
        read = read.model_copy(update={"event": event})
    return read
