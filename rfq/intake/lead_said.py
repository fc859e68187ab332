# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Lead times as sentences say them, with the event that starts them."""

from __future__ import annotations

import re
from typing import Any

from rfq.intake.dates import dates
from rfq.intake.numbers import plain_digits
from rfq.intake.payment_terms import SPAN, VALID, days_of
from rfq.intake.sentences import IGNORE, clauses_of
from rfq.intake.terms_found import Said, Terms
from rfq.model.quote import LeadEvent, LeadTime

LEAD = re.compile(
    r"\blead[\s-]*times?\b|\bdeliver(?:y|ies)\b|\bship(?:s|ment|ped|ping)?\b(?= (?:in|within|time|approx|\d))|\blieferzeit\w*|\blieferung\b|\bliefertermin\w*|\blieferfrist\b|\bdélais?\b|\blivraison\b|\bconsegna\b|\btempi di consegna\b|\bplazo\b|\bentrega\b|\btermin\b|\bczas realizacji\b|\bdostawa\b|交期|交货期|货期|\bturnaround\b|\baro\b|\bavailable in\b", IGNORE
)  # fmt: skip


def lead_time(text: str) -> LeadTime | None:
    """Return a lead time that a text states, or None.

    >>> lead_time("4-5 weeks ARO").amount, lead_time("20 Arbeitstage nach Auftragsbestätigung").event
    (5, 'order confirmation')
    >>> lead_time("15 working days").unit
    'working days'
    """
    plain = plain_digits(text)
    found = dates(plain)
    if found and not re.search(r"(?i)\bKW\b", plain):
        return LeadTime(text=text[:200], until=found[0])
    match = SPAN.search(plain)
    if not match:
        return None
    amount = int(match["high"] or match["low"])
    word = match["unit"].lower()
    unit: Any = "days"
    if re.match(
        r"work|business|w\.?d|arbeits|werk|a\.?t|jours ouv|j\.?o|giorni lav|gg\.? lav|días (?:lab|háb)|dni rob|个?工作",
        word,
    ):
        unit = "working days"
    elif days_of(word) == 7:
        unit = "weeks"
    elif days_of(word) == 30:
        amount *= 30
    if amount > 2000:
        return None
    return LeadTime(text=text[:200], amount=amount, unit=unit, event=_event(plain))


def _event(text: str) -> LeadEvent:
    for event, words in (
        ("first article approval", r"first article|fai approval|erstmuster|sample approval|freigabe muster|首件"),
        ("drawing approval", r"drawing approval|zeichnungsfreigabe|approval of drawing|图纸确认"),
        ("receipt of material", r"material (?:receipt|availab)|materialeingang|materialverfügbarkeit|réception (?:de la )?matière|arrivo materiale"),
        ("deposit", r"deposit|anzahlung|payment|zahlungseingang|acompte|anticip|定金|付款后|prepayment"),
        ("order confirmation", r"confirm|auftragsbestätigung|bestätigung|\bab\b erhalt|accusé|conferma|confirmaci|potwierdz"),
        ("order", r"\baro\b|order|bestell|auftrag|commande|ordine|pedido|zamówieni|下单|订单|\bpo\b|接单"),
    ):  # fmt: skip
        if re.search(words, text, IGNORE):
            return event  # type: ignore[return-value]
    return "not stated"


def lead_said(text: str, said: Said, out: Terms) -> None:
    """Gather the lead time that a sentence names."""
    if LEAD.search(text) and VALID.search(text):
        # '4 weeks, valid until 31.01.2027' in one sentence: each clause speaks for itself
        for clause in clauses_of(text):
            if not VALID.search(clause):
                lead_said(clause, said, out)
        return
    if not LEAD.search(text):
        return
    if re.search(r"net\b|skonto|payment|zahl", text, IGNORE) and not re.search(
        r"lead|lieferz|délai|consegna|plazo|termin", text, IGNORE
    ):
        return
    read = lead_time(text)
    if read is None:
        return
    first = re.search(
        r"first article|fai\b|sample|erstmuster|muster\b|échantillon|campion|muestra|próbk|首件|样品",
        text,
        IGNORE,
    )
    out.put(
        "first_article_lead" if first else "lead",
        read,
        said.place,
        f"lead time {read.amount} {read.unit}" if not read.until else f"delivery {read.until}",
    )
