# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Terms and order charges in the sentences around the prices: delivery, payment, validity, tax.

Phrases of the trade in its languages are common practice (no source); the delivery rules are the
eleven of Incoterms 2020 (ICC), by their three letters.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from rfq.intake.dates import dates
from rfq.intake.money import PIECE, base_in, currencies_in, money, tax_in
from rfq.intake.numbers import TOKEN, Habit, figure, plain_digits
from rfq.intake.row_words import charge_kind
from rfq.model.quote import Charge, Instalment, LeadEvent, LeadTime, Payment, QuoteTerms
from rfq.problems import Place

_I = re.IGNORECASE
_RULE = re.compile(r"\b(EXW|FCA|CPT|CIP|DAP|DPU|DDP|FAS|FOB|CFR|CIF)\b[\s:,-]*((?:(?!incoterms?|\d{4}|net|prix|price|preis)[^\W\d_][^\W\d_.'-]*[\s-]*){0,4})", re.I)  # fmt: skip
_RULE_WORDS = (
    ("EXW", re.compile(r"\bex[\s-]*works?\b|\bab werk\b|\bdépart usine\b|\bdeparture factory\b|\bfranco fabbrica\b|\breso franco fabbrica\b|\ben fábrica\b|\bfranco fábrica\b|\bloco fabryka\b|出厂", _I)),
    ("DAP", re.compile(r"\bfrei haus\b|\bfranco domicile\b|\brendu\b|\bfranco destino\b|\bdelivered\b(?= (?:to|your|free|price))|\bporto franco\b|\bfree delivered\b|\bfranco destinazione\b|送货上门", _I)),
    ("FCA", re.compile(r"\bfree carrier\b", _I)),
)  # fmt: skip
_FOB_US = re.compile(
    r"\bf\.?o\.?b\.?\s*(?:origin|shipping point|our (?:dock|plant|facility)|factory)\b", _I
)
_FOB_DEST = re.compile(r"\bf\.?o\.?b\.?\s*destination\b", _I)
_PAY = re.compile(
    r"\bnet(?:to)?\s*\d{1,3}\b(?!\s*[%.,]\d)|\b\d{1,3}\s*(?:days?|tage?n?|jours?|giorni|gg|días|dni)\b[^.;]*\b(?:net|netto|nets?|skonto|discount|escompte|sconto|descuento|fin de mois|data fattura|d\.?f\.?|f\.?m\.?|fecha factura|after invoice|from invoice|nach rechnung\w*|rein netto|od daty)|\b\d(?:[.,]\d)?\s*%?\s*/\s*\d{1,3}\b[^.;]{0,12}net|\bskonto\b|\bescompte\b|\bpayment\b|\bzahlung\w*|\bpaiement\b|\brèglement\b|\bpagamento\b|\bpago\b|\bforma de pago\b|\bpłatno\w+|\bin advance\b|\bprepa(?:id|yment)\b|\bvorkasse\b|\banzahlung\b|\bdeposit\b|\bacompte\b|\banticip\w+|\bprzedpłat\w*|付款|预付|\bcash on delivery\b|\bc\.?o\.?d\.?\b|\brimessa diretta\b|\bdays? end of month\b", _I
)  # fmt: skip
_VALID = re.compile(
    r"\bvalid\w*\b|\bgültig\w*|\bbindefrist\b|\bangebotsbindung\b|\bgebunden bis\b|\bbinding\b|\bvalable\b|\bvalidité\b|\bvalid[iao]t?[àa]?\b|\bvalidità\b|\bválid[oa]s?\b|\bvalidez\b|\bważn\w+|\bexpir\w+|有效期|有效至|\bfirm (?:for|until)\b|\bopen for\b|\bgood (?:for|until)\b", _I
)  # fmt: skip
_LEAD = re.compile(
    r"\blead[\s-]*times?\b|\bdeliver(?:y|ies)\b|\bship(?:s|ment|ped|ping)?\b(?= (?:in|within|time|approx|\d))|\blieferzeit\w*|\blieferung\b|\bliefertermin\w*|\blieferfrist\b|\bdélais?\b|\blivraison\b|\bconsegna\b|\btempi di consegna\b|\bplazo\b|\bentrega\b|\btermin\b|\bczas realizacji\b|\bdostawa\b|交期|交货期|货期|\bturnaround\b|\baro\b|\bavailable in\b", _I
)  # fmt: skip
_SPAN = re.compile(
    r"(?<![\d.,/])(?P<low>\d{1,3})\s*(?:(?:-|–|to|bis|à|a|do|/)\s*(?P<high>\d{1,3})\s*)?(?P<unit>working\s*days|work\s*days|business\s*days|w\.?d\.?(?!\w)|arbeitstagen?|werktagen?|a\.?t\.?(?!\w)|jours ouvr(?:és|ables|é)|j\.?o\.?(?!\w)|giorni lavorativi|gg\.? lav\w*|días (?:laborables|hábiles)|dni robocz\w+|个?工作[日天]|weeks?|wks?\.?|wochen?|kw(?!\w)|semaines?|sem\.?(?!\w)|settimane?|sett\.?|semanas?|tygodni\w*|tyg\.?|周|星期|months?|monaten?|mois|mesi|meses|miesiąc\w*|个月|days?|tagen?|t\.?(?!\w)|jours?|j(?!\w)|giorni|gg\.?|días?|dni|天|日)", _I
)  # fmt: skip
_ORIGIN = re.compile(
    r"(?:country of origin|origin|made in|ursprungsland|ursprung|pays d'origine|origine|paese di origine|país de origen|kraj pochodzenia|原产地)\s*(?:der ware|goods)?\s*[:=]?\s*([^\W\d_][\w .]{1,30})",
    _I,
)
_COUNTRIES = {
    "germany": "DE", "deutschland": "DE", "de": "DE", "france": "FR", "italy": "IT", "italia": "IT", "spain": "ES",
    "españa": "ES", "poland": "PL", "polska": "PL", "china": "CN", "p r china": "CN", "prc": "CN", "中国": "CN", "usa": "US",
    "united states": "US", "us": "US", "switzerland": "CH", "schweiz": "CH", "suisse": "CH", "austria": "AT", "österreich": "AT",
    "czech republic": "CZ", "czechia": "CZ", "hungary": "HU", "romania": "RO", "turkey": "TR", "türkiye": "TR", "india": "IN",
    "taiwan": "TW", "japan": "JP", "uk": "GB", "united kingdom": "GB", "netherlands": "NL", "portugal": "PT", "mexico": "MX",
    "canada": "CA", "slovakia": "SK", "slovenia": "SI", "italien": "IT", "frankreich": "FR", "polen": "PL", "allemagne": "DE",
}  # fmt: skip
_EXCEPTION = re.compile(
    r"\b(?:exception|deviation|we cannot (?:hold|guarantee|achieve)|not able to (?:hold|achieve)|cannot hold|tolerance[s]? (?:not|only|relaxed)|assum(?:e|es|ed|ing|ption)|without (?:anodi[sz]\w+|finish\w*|coating|certificate\w*|inspection|deburr\w*|packing)|(?:anodi[sz]ing|finish\w*|coating|certificates?|inspection) (?:is |are )?(?:not included|excluded|extra|by (?:others|customer))|excluding (?:anodi|finish|coating|material|certif)\w*|excl\.? (?:anodi|finish|coating|material|certif)\w*|not including (?:anodi|finish|coating|material|certif)\w*"
    r"|abweichung\w*|ohne (?:oberfläche\w*|eloxal|eloxieren|beschichtung|zeugnis\w*|prüf\w*|material|härten)|nicht enthalten|nicht (?:haltbar|möglich)|toleranz\w* (?:nicht|nur)|material beigestellt|sans (?:anodisation|traitement|certificat|finition|matière)|non compris|tolérances? (?:non|élargie)|dérogation|senza (?:anodizzazione|trattamento|certificat\w*|finitura)|non incluso|escluso|sin (?:anodizado|tratamiento|certificado|acabado)|no incluid[oa]|excepto|bez (?:anodowania|powłoki|atestu|wykończenia)|nie zawiera|不含(?!税)(?:表面|阳极|材料|运费)?|公差)", _I
)  # fmt: skip
_OWNER = re.compile(
    r"(?:tool(?:ing|s)?|fixture\w*|werkzeug\w*|vorrichtung\w*|outillage|attrezzatur\w*|utillaje\w*|oprzyrządowanie)[^.;\n]{0,60}?(?:remain\w*|stays?|becom\w*|property|owned by|belong\w*|eigentum|verbleib\w*|propriété|propriet\w+|propiedad|własnoś\w+)[^.;\n]{0,60}",
    _I,
)
_PERCENT = re.compile(r"(?<![\d.,])(\d{1,2}(?:[.,]\d{1,3})?)\s*%")


@dataclass(frozen=True, slots=True)
class Said:
    """A piece of running text and where it stands."""

    text: str
    place: Place


@dataclass(slots=True)
class Terms:
    """What the sentences of a reply say."""

    values: dict[str, Any] = field(default_factory=dict)  # fields of QuoteTerms
    places: dict[str, Place] = field(default_factory=dict)
    charges: list[Charge] = field(default_factory=list)
    currencies: list[tuple[tuple[str, ...], Place, str]] = field(default_factory=list)
    base: str = ""
    base_place: Place = Place()
    exceptions: list[Said] = field(default_factory=list)
    issued: date | None = None
    doubts: list[tuple[str, str, Place]] = field(default_factory=list)
    used: dict[Place, str] = field(default_factory=dict)  # place -> what was understood

    def terms(self) -> QuoteTerms:
        """Return the terms as a model value."""
        return QuoteTerms(**self.values, places=self.places)

    def put(self, name: str, value: Any, place: Place, shown: str) -> None:
        """Keep a term; the first statement stands."""
        if name not in self.values:
            self.values[name] = value
            self.places[name] = place
        self.used[place] = f"{self.used[place]}; {shown}" if place in self.used else shown


def read_terms(lines: Iterable[Said], style: Habit) -> Terms:
    """Return the terms that lines of text state.

    Args:
        lines: running text with places, in the file's order.
        style: decimal sign of the file's other figures.
    """
    out = Terms()
    lines = list(lines)
    for said in lines:
        issued = (
            dates(said.text)
            if re.search(r"(?i)\b(?:date|datum|fecha|data|日期|vom|issued)\b", said.text)
            and not _VALID.search(said.text)
            and len(said.text) < 80
            else ()
        )
        if len(issued) == 1 and out.issued is None:
            out.issued = issued[0]
    for said in lines:
        text = plain_digits(said.text)
        if len(text) < 3:
            continue
        _delivery(text, said, out)
        _currency_tax_base(text, said, out)
        for sentence in _sentences(text):
            _payment(sentence, said, out)
            _validity(sentence, said, out)
            _lead(sentence, said, out)
            _charges(sentence, said, out, style)
            _others(sentence, said, out)
    return out


def _sentences(text: str) -> list[str]:
    """Sentences and clauses; a dot in a number or after a short word does not end one."""
    text = re.sub(
        r"(?i)\b(min|max|incl|excl|approx|ca|nr|no|art|pos|inkl|zzgl|exkl|ges|gesetzl|mind|qty|del|tel|std|mwst|vs|max|ab|ver|vers|spec|ref)\.\s",
        r"\1 ",
        text,
    )
    parts = re.split(
        r"[\n;。；]+|(?<=[^\W\d_]{3})[.!]\s+(?=[^\W\d_])|(?<=\d)\.\s+(?=[A-ZÄÖÜ])|(?<=[%)])\.\s+",
        text,
    )
    return [part.strip() for part in parts if part and part.strip()]


def _clauses(sentence: str) -> list[str]:
    return [
        part.strip()
        for part in re.split(
            r",\s+|\s+(?:und|and|et|e|y|i)\s+(?=[^\W\d_]{4,}\w*(?:kosten|ing|age)?\b)", sentence
        )
        if part.strip()
    ]


def _delivery(text: str, said: Said, out: Terms) -> None:
    rule, place = "", ""
    match = _RULE.search(text)
    us = _FOB_US.search(text)
    destination = _FOB_DEST.search(text)
    if us:
        # in US domestic trade 'FOB origin' hands over at the shop's dock, near FCA seller's place
        out.put("incoterm", "FCA", said.place, "delivery: FOB origin (US), read as FCA")
        out.put("incoterm_text", us[0], said.place, "")
        out.doubts.append(
            (
                "R041",
                f"'{us[0]}' is a domestic US term, not the Incoterms rule FOB; it is read as FCA shop's dock",
                said.place,
            )
        )
        return
    if destination:
        out.put("incoterm", "DAP", said.place, "delivery: FOB destination (US), read as DAP")
        out.put("incoterm_text", destination[0], said.place, "")
        out.doubts.append(
            ("R041", f"'{destination[0]}' is a domestic US term; it is read as DAP", said.place)
        )
        return
    if match and (
        match[1].isupper()
        or re.search(
            r"incoterm|liefer|deliver|terms|price|preis|livr|resa|consegna|entrega|dostaw", text, _I
        )
    ):
        rule = match[1].upper()
        place = re.sub(r"\s+", " ", match[2] or "").strip(" ,-:")
        place = re.sub(r"(?i)\b(?:our works|works|our|werk|usine|incoterms?)$", "", place).strip()
    else:
        for name, words in _RULE_WORDS:
            found = words.search(text)
            if found:
                rule = name
                break
    if rule:
        out.put("incoterm", rule, said.place, f"delivery: {rule} {place}".strip())
        out.put("incoterm_text", text[:200], said.place, "")
        if place:
            out.values.setdefault("place", place)
            out.places.setdefault("place", said.place)


def _currency_tax_base(text: str, said: Said, out: Terms) -> None:
    state, rate = tax_in(text)
    if state:
        out.put("tax", state, said.place, f"tax {state}")
        if rate and "tax_percent" not in out.values:
            out.values["tax_percent"] = Decimal(rate)
    found = currencies_in(text)
    if found:
        beside = currencies_in(text, beside_number=True)
        strong = (
            re.search(
                r"(?i)price|preis|prix|prezz|preci|cen[ay]|currency|währung|devise|valuta|moneda|waluta|amount|betr[aä]g|montant|币|价|alle|all |quot|angebot|offer",
                text,
            )
            is not None
        )
        out.currencies.append((found or beside, said.place, "stated" if strong else "mentioned"))
    said_all = re.search(
        r"(?i)(?:all(?:e)?|our|unsere|sämtliche|the|nos|les|tous les|tutti i|i|todos los|los|wszystkie)?\s*(?:unit\s*)?(?:price[sd]?|preise?|prix|prezzi|precios|ceny|价格?|单价)\b[^.;]{0,60}?((?:per|je|pro|pour|par|por|za|每|/)\s*[\d.,' ]*\s*(?:pcs|pieces|stück|stk|st|pièces|pezzi|piezas|unidades|szt|sztuk|件|个|lot|los|kg|hundred|thousand)?)",
        text,
    )
    if said_all:
        base = base_in(said_all[1])
        if base and base != "1" and not re.search(r"(?i)\b(?:line|pos|item|except)", text):
            out.base, out.base_place = base, said.place
            out.used[said.place] = f"prices per {base}"


def _number(text: str) -> Decimal | None:
    read = figure(text)
    return read.values[-1] if read.values else None


def _payment(text: str, said: Said, out: Terms) -> None:
    if not _PAY.search(text) or "payment" in out.values:
        return
    instalments: list[Instalment] = []
    discount, discount_days = Decimal(0), 0
    pair = re.search(
        r"(\d(?:[.,]\d{1,2})?)\s*%?\s*/\s*(\d{1,3})\s*,?\s*(?:net|n)\s*/?\s*(\d{1,3})", text, _I
    )
    if pair:
        discount, discount_days = Decimal(pair[1].replace(",", ".")), int(pair[2])
        instalments = [Instalment(share=Decimal(1), days=int(pair[3]), event="invoice")]
    else:
        spans = [
            (m.start(), int(m["high"] or m["low"]) * _days(m["unit"])) for m in _SPAN.finditer(text)
        ]
        rebate = re.search(r"skonto|discount|escompte|sconto|descuento|rabat|上折", text, _I)
        percent = min(
            _PERCENT.finditer(text),
            key=lambda m: abs(m.start() - rebate.start()) if rebate else m.start(),
            default=None,
        )
        if (
            rebate
            and percent
            and spans
            and not re.search(r"line discount|quantity discount|mengenrabatt", text, _I)
        ):
            discount = Decimal(percent[1].replace(",", "."))
            nearest = min(spans, key=lambda s: abs(s[0] - percent.start()))
            discount_days = nearest[1]
            rest = [s[1] for s in spans if s is not nearest]
            instalments = [
                Instalment(share=Decimal(1), days=max(rest, default=discount_days), event="invoice")
            ]
        else:
            net = re.search(r"\bnet(?:to)?\s*(\d{1,3})\b", text, _I)
            shares = [Decimal(m[1].replace(",", ".")) / 100 for m in _PERCENT.finditer(text)]
            if (
                shares
                and sum(shares) <= 1
                and re.search(
                    r"advance|deposit|anzahlung|acompte|anticip|order|bestellung|commande|ordine|pedido|zamówieni|预付|vorkasse|bei auftrag|delivery",
                    text,
                    _I,
                )
            ):
                first = shares[0]
                instalments.append(Instalment(share=first, days=0, event="order"))
                if first < 1:
                    before = re.search(
                        r"before (?:shipment|delivery|dispatch)|vor (?:lieferung|versand)|avant (?:expédition|livraison)|prima della|antes d|przed wysyłką|发货前",
                        text,
                        _I,
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
                _I,
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


def _days(unit: str) -> int:
    unit = unit.lower()
    if re.match(r"w(?:ee)?k|woche|kw|sem|sett|tyg|周|星期", unit):
        return 7
    return 30 if re.match(r"month|monat|mois|mes|miesi|个月", unit) else 1


def _validity(text: str, said: Said, out: Terms) -> None:
    if not _VALID.search(text) or "validity_text" in out.values:
        return
    found = dates(text)
    span = _SPAN.search(text)
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
        days = int(span["high"] or span["low"]) * _days(span["unit"])
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
    match = _SPAN.search(plain)
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
    elif _days(word) == 7:
        unit = "weeks"
    elif _days(word) == 30:
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
        if re.search(words, text, _I):
            return event  # type: ignore[return-value]
    return "not stated"


def _lead(text: str, said: Said, out: Terms) -> None:
    if _LEAD.search(text) and _VALID.search(text):
        # '4 weeks, valid until 31.01.2027' in one sentence: each clause speaks for itself
        for clause in _clauses(text):
            if not _VALID.search(clause):
                _lead(clause, said, out)
        return
    if not _LEAD.search(text):
        return
    if re.search(r"net\b|skonto|payment|zahl", text, _I) and not re.search(
        r"lead|lieferz|délai|consegna|plazo|termin", text, _I
    ):
        return
    read = lead_time(text)
    if read is None:
        return
    first = re.search(
        r"first article|fai\b|sample|erstmuster|muster\b|échantillon|campion|muestra|próbk|首件|样品",
        text,
        _I,
    )
    out.put(
        "first_article_lead" if first else "lead",
        read,
        said.place,
        f"lead time {read.amount} {read.unit}" if not read.until else f"delivery {read.until}",
    )


def _charges(sentence: str, said: Said, out: Terms, style: Habit) -> None:
    for clause in _clauses(sentence):
        kind = charge_kind(clause)
        if kind in ("other", "finish") or re.search(
            r"skonto|escompte|\d\s*/\s*\d+\s*,?\s*net|net \d", clause, _I
        ):
            continue
        if kind == "discount" and re.search(
            r"days|tage|jours|giorni|días|dni|prompt|early", clause, _I
        ):
            continue
        percent = _PERCENT.search(clause)
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
                    _I,
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


def _others(text: str, said: Said, out: Terms) -> None:
    origin = _ORIGIN.search(text)
    if origin and "origin" not in out.values and "fob" not in text.lower():
        name = origin[1].strip().lower().rstrip(". ")
        code = _COUNTRIES.get(name) or _COUNTRIES.get(name.split()[0])
        if code:
            out.put("origin", code, said.place, f"origin {code}")
    owner = _OWNER.search(text)
    if owner:
        ours = re.search(
            r"customer|buyer|your|kunde|auftraggeber|client|cliente|państwa|zamawiaj", owner[0], _I
        )
        out.charges.append(
            Charge(
                name=owner[0][:120],
                kind="tooling",
                owner="buyer" if ours else "shop",
                place=said.place,
            )
        )
        out.used[said.place] = "owner of tooling"
    if _EXCEPTION.search(text) and not tax_in(text)[0]:
        out.exceptions.append(Said(text[:300], said.place))
        out.used.setdefault(said.place, "exception")


__all__ = ["Said", "Terms", "lead_time", "money", "read_terms"]
