# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Terms and order charges in the sentences around the prices: delivery, payment, validity, tax.

Phrases of the trade in its languages are common practice (no source); the delivery rules are the
eleven of Incoterms 2020 (ICC), by their three letters.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal

from rfq.intake.charges_said import charges_said
from rfq.intake.dates import dates
from rfq.intake.lead_said import lead_said, lead_time
from rfq.intake.money import base_in, currencies_in, money, tax_in
from rfq.intake.numbers import Habit, plain_digits
from rfq.intake.payment_terms import VALID, payment_said, validity_said
from rfq.intake.sentences import IGNORE, sentences_of
from rfq.intake.terms_found import Said, Terms
from rfq.model.quote import Charge

_RULE = re.compile(r"\b(EXW|FCA|CPT|CIP|DAP|DPU|DDP|FAS|FOB|CFR|CIF)\b[\s:,-]*((?:(?!incoterms?|\d{4}|net|prix|price|preis)[^\W\d_][^\W\d_.'-]*[\s-]*){0,4})", re.I)  # fmt: skip


_RULE_WORDS = (
    ("EXW", re.compile(r"\bex[\s-]*works?\b|\bab werk\b|\bdépart usine\b|\bdeparture factory\b|\bfranco fabbrica\b|\breso franco fabbrica\b|\ben fábrica\b|\bfranco fábrica\b|\bloco fabryka\b|出厂", IGNORE)),
    ("DAP", re.compile(r"\bfrei haus\b|\bfranco domicile\b|\brendu\b|\bfranco destino\b|\bdelivered\b(?= (?:to|your|free|price))|\bporto franco\b|\bfree delivered\b|\bfranco destinazione\b|送货上门", IGNORE)),
    ("FCA", re.compile(r"\bfree carrier\b", IGNORE)),
)  # fmt: skip


_FOB_US = re.compile(
    r"\bf\.?o\.?b\.?\s*(?:origin|shipping point|our (?:dock|plant|facility)|factory)\b", IGNORE
)


_FOB_DEST = re.compile(r"\bf\.?o\.?b\.?\s*destination\b", IGNORE)


_ORIGIN = re.compile(
    r"(?:country of origin|origin|made in|ursprungsland|ursprung|pays d'origine|origine|paese di origine|país de origen|kraj pochodzenia|原产地)\s*(?:der ware|goods)?\s*[:=]?\s*([^\W\d_][\w .]{1,30})",
    IGNORE,
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
    r"|abweichung\w*|ohne (?:oberfläche\w*|eloxal|eloxieren|beschichtung|zeugnis\w*|prüf\w*|material|härten)|nicht enthalten|nicht (?:haltbar|möglich)|toleranz\w* (?:nicht|nur)|material beigestellt|sans (?:anodisation|traitement|certificat|finition|matière)|non compris|tolérances? (?:non|élargie)|dérogation|senza (?:anodizzazione|trattamento|certificat\w*|finitura)|non incluso|escluso|sin (?:anodizado|tratamiento|certificado|acabado)|no incluid[oa]|excepto|bez (?:anodowania|powłoki|atestu|wykończenia)|nie zawiera|不含(?!税)(?:表面|阳极|材料|运费)?|公差)", IGNORE
)  # fmt: skip


_OWNER = re.compile(
    r"(?:tool(?:ing|s)?|fixture\w*|werkzeug\w*|vorrichtung\w*|outillage|attrezzatur\w*|utillaje\w*|oprzyrządowanie)[^.;\n]{0,60}?(?:remain\w*|stays?|becom\w*|property|owned by|belong\w*|eigentum|verbleib\w*|propriété|propriet\w+|propiedad|własnoś\w+)[^.;\n]{0,60}",
    IGNORE,
)


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
            and not VALID.search(said.text)
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
        for sentence in sentences_of(text):
            payment_said(sentence, said, out)
            validity_said(sentence, said, out)
            lead_said(sentence, said, out)
            charges_said(sentence, said, out, style)
            _others(sentence, said, out)
    return out


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
            r"incoterm|liefer|deliver|terms|price|preis|livr|resa|consegna|entrega|dostaw",
            text,
            IGNORE,
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
            r"customer|buyer|your|kunde|auftraggeber|client|cliente|państwa|zamawiaj",
            owner[0],
            IGNORE,
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
