# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Payment and validity as sentences say them."""

from __future__ import annotations

import re
from datetime import timedelta
from decimal import Decimal

from rfq.intake.charges_said import PERCENT
from rfq.intake.dates import dates
from rfq.intake.numbers import figure
from rfq.intake.sentences import IGNORE
from rfq.intake.terms_found import Said, Terms
from rfq.model.quote import Instalment, Payment

SPAN = re.compile(
    r"(?<![\d.,/])(?P<low>\d{1,3})\s*(?:(?:-|–|to|bis|à|a|do|/)\s*(?P<high>\d{1,3})\s*)?(?P<unit>working\s*days|work\s*days|business\s*days|w\.?d\.?(?!\w)|arbeitstagen?|werktagen?|a\.?t\.?(?!\w)|jours ouvr(?:és|ables|é)|j\.?o\.?(?!\w)|giorni lavorativi|gg\.? lav\w*|días (?:laborables|hábiles)|dni robocz\w+|个?工作[日天]|weeks?|wks?\.?|wochen?|kw(?!\w)|semaines?|sem\.?(?!\w)|settimane?|sett\.?|semanas?|tygodni\w*|tyg\.?|周|星期|months?|monaten?|mois|mesi|meses|miesiąc\w*|个月|days?|tagen?|t\.?(?!\w)|jours?|j(?!\w)|giorni|gg\.?|días?|dni|天|日)", IGNORE
)  # fmt: skip
PAY = re.compile(
    r"\bnet(?:to)?\s*\d{1,3}\b(?!\s*[%.,]\d)|\b\d{1,3}\s*(?:days?|tage?n?|jours?|giorni|gg|días|dni)\b[^.;]*\b(?:net|netto|nets?|skonto|discount|escompte|sconto|descuento|fin de mois|data fattura|d\.?f\.?|f\.?m\.?|fecha factura|after invoice|from invoice|nach rechnung\w*|rein netto|od daty)|\b\d(?:[.,]\d)?\s*%?\s*/\s*\d{1,3}\b[^.;]{0,12}net|\bskonto\b|\bescompte\b|\bpayment\b|\bzahlung\w*|\bpaiement\b|\brèglement\b|\bpagamento\b|\bpago\b|\bforma de pago\b|\bpłatno\w+|\bin advance\b|\bprepa(?:id|yment)\b|\bvorkasse\b|\banzahlung\b|\bdeposit\b|\bacompte\b|\banticip\w+|\bprzedpłat\w*|付款|预付|\bcash on delivery\b|\bc\.?o\.?d\.?\b|\brimessa diretta\b|\bdays? end of month\b", IGNORE
)  # fmt: skip


VALID = re.compile(
    r"\bvalid\w*\b|\bgültig\w*|\bbindefrist\b|\bangebotsbindung\b|\bgebunden bis\b|\bbinding\b|\bvalable\b|\bvalidité\b|\bvalid[iao]t?[àa]?\b|\bvalidità\b|\bválid[oa]s?\b|\bvalidez\b|\bważn\w+|\bexpir\w+|有效期|有效至|\bfirm (?:for|until)\b|\bopen for\b|\bgood (?:for|until)\b", IGNORE
)  # fmt: skip


def number_of(text: str) -> Decimal | None:
    """Return the last reading of a number in a text, or None."""
    read = figure(text)
    return read.values[-1] if read.values else None


def payment_said(text: str, said: Said, out: Terms) -> None:
    """Gather payment terms from a sentence."""
    if not PAY.search(text) or "payment" in out.values:
        return
    instalments: list[Instalment] = []
    discount, discount_days = Decimal(0), 0
    pair = re.search(
        r"(\d(?:[.,]\d{1,2})?)\s*%?\s*/\s*(\d{1,3})\s*,?\s*(?:net|n)\s*/?\s*(\d{1,3})", text, IGNORE
    )
    if pair:
        discount, discount_days = Decimal(pair[1].replace(",", ".")), int(pair[2])
        instalments = [Instalment(share=Decimal(1), days=int(pair[3]), event="invoice")]
    else:
        spans = [
            (m.start(), int(m["high"] or m["low"]) * days_of(m["unit"]))
            for m in SPAN.finditer(text)
        ]
        rebate = re.search(r"skonto|discount|escompte|sconto|descuento|rabat|上折", text, IGNORE)
        percent = min(
            PERCENT.finditer(text),
            key=lambda m: abs(m.start() - rebate.start()) if rebate else m.start(),
            default=None,
        )
        if (
            rebate
            and percent
            and spans
            and not re.search(r"line discount|quantity discount|mengenrabatt", text, IGNORE)
        ):
            discount = Decimal(percent[1].replace(",", "."))
            nearest = min(spans, key=lambda s: abs(s[0] - percent.start()))
            discount_days = nearest[1]
            rest = [s[1] for s in spans if s is not nearest]
            instalments = [
                Instalment(share=Decimal(1), days=max(rest, default=discount_days), event="invoice")
            ]
        else:
            net = re.search(r"\bnet(?:to)?\s*(\d{1,3})\b", text, IGNORE)
            shares = [Decimal(m[1].replace(",", ".")) / 100 for m in PERCENT.finditer(text)]
            if (
                shares
                and sum(shares) <= 1
                and re.search(
                    r"advance|deposit|anzahlung|acompte|anticip|order|bestellung|commande|ordine|pedido|zamówieni|预付|vorkasse|bei auftrag|delivery",
                    text,
                    IGNORE,
                )
            ):
                first = shares[0]
                instalments.append(Instalment(share=first, days=0, event="order"))
                if first < 1:
                    before = re.search(
                        r"before (?:shipment|delivery|dispatch)|vor (?:lieferung|versand)|avant (?:expédition|livraison)|prima della|antes d|przed wysyłką|发货前",
                        text,
                        IGNORE,
                    )
                    days = spans[-1][1] if spans else (int(net[1]) if net else 0)
                    instalments.append(
                        Instalment(
                            share=1 - first,
                            days=0 if before else days,
                            event="before delivery"
                            if before
                            else ("invoice" if days else "delivery"),
                        )
                    )
            elif net:
                instalments = [Instalment(share=Decimal(1), days=int(net[1]), event="invoice")]
            elif re.search(
                r"in advance|vorkasse|prepa(?:id|yment)|anticipat|par avance|por adelantado|przedpłat|全款|cash with order|proforma",
                text,
                IGNORE,
            ):
                instalments = [Instalment(share=Decimal(1), days=0, event="order")]
            elif spans:
                instalments = [Instalment(share=Decimal(1), days=spans[-1][1], event="invoice")]
    out.put(
        "payment",
        Payment(
            text=text[:300],
            instalments=tuple(instalments),
            discount_percent=discount,
            discount_days=discount_days,
        ),
        said.place,
        "payment terms",
    )


def days_of(unit: str) -> int:
    """Return the days in a unit of time, as printed."""
    unit = unit.lower()
    if re.match(r"w(?:ee)?k|woche|kw|sem|sett|tyg|周|星期", unit):
        return 7
    return 30 if re.match(r"month|monat|mois|mes|miesi|个月", unit) else 1


def validity_said(text: str, said: Said, out: Terms) -> None:
    """Gather until when the reply holds."""
    if not VALID.search(text) or "validity_text" in out.values:
        return
    found = dates(text)
    span = SPAN.search(text)
    if found:
        if len(found) > 1:
            later = [d for d in found if out.issued is None or d >= out.issued]
            found = tuple(later) if len(later) == 1 else found
        out.put("valid_until", found[0], said.place, f"valid until {found[0]}")
        if len(found) > 1:
            out.doubts.append(
                (
                    "R042",
                    f"'{text[:60]}' may mean {found[0]} or {found[1]}; the first is taken",
                    said.place,
                )
            )
    elif span:
        days = int(span["high"] or span["low"]) * days_of(span["unit"])
        if out.issued is not None:
            out.put(
                "valid_until",
                out.issued + timedelta(days=days),
                said.place,
                f"valid {days} days from {out.issued}",
            )
    else:
        return
    out.put("validity_text", text[:200], said.place, "validity")
