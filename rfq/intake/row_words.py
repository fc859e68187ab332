# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Words that tell what a row is, when it is no item: sums, tax, one-offs, freight, alternatives.

In the languages of trade; common practice, no source.
"""

from __future__ import annotations

import re

from rfq.model.quote import ChargeKind

_I = re.IGNORECASE
SUM = re.compile(
    r"^\W*(?:(?:grand|sub|net|order|quote|goods|merchandise|overall|your|the|all items|items)[\s-]*)*(?:total|sum|subtotal)\b(?!\s*(?:one|nre|tool|setup))"
    r"|^\W*(?:zwischen|gesamt|netto|brutto|end|waren|auftrags|angebots|rechnungs|positions)?-?(?:summe|betrag|gesamt|wert|gesamtpreis|gesamtsumme|gesamtbetrag|endbetrag)\b|^\W*(?:netto|brutto)\s*(?:gesamt|summe|betrag)|^\W*(?:gesamtsumme|gesamtpreis|nettobetrag|bruttobetrag|gesamtnetto|gesamt)"
    r"|^\W*(?:sous[\s-]*)?total|^\W*montant (?:total|ht|ttc)|^\W*net (?:à|a) payer|^\W*(?:sub)?totale\b|^\W*imponibile|^\W*(?:sub)?total\b|^\W*suma\b|^\W*importe total|^\W*base imponible"
    r"|^\W*(?:razem|suma|łącznie|ogółem|wartość (?:netto|brutto)|do zapłaty)|^\W*(?:合计|总计|总金额|小计|合計|總計|总价|小計)|^\W*(?:carried forward|brought forward|übertrag|report|riporto|à reporter)\b",
    _I,
)
TAX = re.compile(
    r"(?<!\w)(?:vat|sales tax|gst|hst|mwst|m\.w\.st|ust|umsatzsteuer|mehrwertsteuer|tva|t\.v\.a|iva|i\.v\.a|ptu|podatek vat|增值税|税额|税金|tax)(?!\w)", _I
)  # fmt: skip
ONE_OFF = re.compile(
    r"\bn\.?r\.?[ec]\.?(?!\w)|\bnon[\s-]*recurring|\bone[\s-]*(?:time|off)\b|\bset[\s-]*up\b|\btool(?:ing|s)?\b(?!\s*steel)|\bfixtur\w*|\bprogram+ing\b|\bjig\b|\bfirst[\s-]article\b|\bfai\b|\bfair\b|\bengineering (?:charge|fee)|\bmou?ld\b(?: cost| charge)?"
    r"|rüst(?:kosten|pauschale|en\b)|einricht(?:ung|kosten|en)|werkzeug(?:kosten|e|$|\b)|vorrichtung\w*|einmal(?:ig\w*|kosten)|programmier\w*|erstmuster\w*|\bempb\b|anlaufkosten|musterkosten|formkosten|initialkosten"
    r"|outillage|frais (?:uniques?|fixes?|de lancement|de mise en route|de réglage|de programmation|techniques)|mise en route|montage d'usinage|frais non récurrents|réglage|programmation|une seule fois"
    r"|attrezzatur\w*|attrezzaggio|una tantum|avviamento|programmazione|stampo|costi fissi|costo impianto"
    r"|utillaje\w*|(?:coste|cargo|gasto)s? (?:únicos?|iniciale?s?|fijos?)|puesta en marcha|preparación|programación|molde"
    r"|oprzyrządowani\w*|koszt\w* jednorazow\w*|jednorazow\w*|przygotowanie produkcji|przezbrojeni\w*|uruchomieni\w*|programowanie|narzędzi\w*"
    r"|模具费?|工装费?|夹具费?|一次性|开机费|治具费?|编程费?|开模|首件", _I
)  # fmt: skip
_CHARGE_WORDS: tuple[tuple[ChargeKind, str], ...] = (
        ("minimum order", r"\bmin(?:imum|\.)?[\s-]*(?:order|charge|bestell|auftrag|billing|invoice|lot charge|value)\w*|mindest(?:bestell|auftrags|waren)\w*|mindermenge\w*|commande minim\w*|minimum de (?:commande|facturation)|ordine minimo|minimo (?:d'?\s?ordine|fatturabile|ordine)|pedido mínimo|importe mínimo|minimaln\w+ (?:wartość )?zamówieni\w*|最低(?:订单|起订)(?:金额|额)|small order"),
        ("freight", r"\bfreight\b|\bshipping\b|\bcarriage\b|\bdelivery (?:charge|cost|fee)s?\b|\bcourier\b|\btransport\w*|\bfracht\w*|\bversand\w*|\blieferkosten|\bfrais de port|\bport (?:et|dû|payé)|\bspedizion\w*|\btrasport\w*|\bportes?\b(?! libres)|\bgastos de envío|\bflete\b|\bwysyłk\w*|\bdostaw\w* koszt|\bkoszt\w* (?:dostawy|wysyłki|transportu)|运费|运输费|\bhandling\b|\bpostage\b|\bzustellung"),
        ("packing", r"\bpack(?:ing|aging)\b|\bcrat(?:e|ing)\b|\bverpackung\w*|\bemballage\w*|\bimball\w*|\bembalaje\w*|\bpakowani\w*|\bopakowani\w*|包装费?"),
        ("insurance", r"\binsurance\b|\bversicherung|\bassurance\b|\bassicurazion|\bseguro\b|\bubezpieczeni|保险"),
        ("certificate", r"\bcert(?:ificate|s|\.)?s?\b|\bzeugnis\w*|\bprüfzeugnis\w*|\bwerkszeugnis|\bapz\b|\bcertificat\w*|\bcertificad\w*|\bświadectw\w*|\batest\w*|材质证明|\b3\.1\b"),
        ("surcharge", r"\bsurcharge\b|\b(?:energy|material|alloy|expedite|rush)[\s-]*(?:surcharge|fee|charge|cost adder)|\w*zuschlag\b|\bteuerungs|\bsurcoût|\bsupplément|\bsovrapprezzo|\bsupplemento|\brecargo|\bdopłat\w*|附加费|\bmindermengen"),
        ("finish", r"\banodi[sz]\w*|\beloxier\w*|\beloxal|\bplating\b|\bpassivat\w*|\bcoating\b|\bbeschichtung|\banodisation|\banodizzazion|\banodizad|\banodowani"),
        ("discount", r"\bdiscount\b|\brebate\b|\brabatt\b|\bnachlass\b|\bremise\b|\bristourne\b|\bsconto\b|\bdescuento\b|\brabat\b|\bupust\b|折扣"),
    )  # fmt: skip
_CHARGES: tuple[tuple[ChargeKind, re.Pattern[str]], ...] = tuple(
    (kind, re.compile(pattern, _I)) for kind, pattern in _CHARGE_WORDS
)
ALTERNATIVE = re.compile(
    r"^\W*(?:alternat(?:iv\w*|e)|alt\b\.?|option(?:al|ally|en)?\b|opt\.|variant\w*|optional\w*|eventual\w*|wahlweise|oder\b|or\b(?!der)|alternatyw\w*|opcj\w*|wariant\w*|in alternativa|alternativa|opción|opzione|替代|备选|可选|substitut\w*|instead)"
    r"|\balternativ(?:e|er|material|werkstoff|ely)?\b(?=\s*[:(\-]|\s+(?:in|aus|material|part))|\(alt(?:ernativ\w*)?\.?\)|\boption(?:al)?\s*[:)]",
    _I,
)
HEAD_AGAIN = re.compile(r"^\W*(?:page|seite|blatt|pagina|página|strona|第)\s*\d+", _I)
OLDER = re.compile(
    r"\b(?:old|previous|prior|superseded|last (?:year|quote)|obsolete|alt(?:er|e)? (?:preise?|angebot)|bisherig\w*|vorjahr|ungültig|ancien\w*|précédent\w*|vecchi\w*|precedent\w*|antigu\w*|anterior\w*|star[ey]\b|poprzedni\w*|旧|作废)", _I
)  # fmt: skip


def charge_kind(text: str) -> ChargeKind:
    """Return what a charge's name says it is for.

    >>> charge_kind("Versandkosten pauschal"), charge_kind("NRE - programming"), charge_kind("Mindestbestellwert")
    ('freight', 'one-off', 'minimum order')
    """
    if re.search(r"(?i)\bfirst[\s-]article|\bfai(?:r)?\b|erstmuster|\bempb\b|首件", text):
        return "first article"
    if re.search(
        r"(?i)\btool(?:ing|s)\b|werkzeug|vorrichtung|outillage|attrezzatur|utillaje|oprzyrząd|fixture|模具|工装|夹具|mould|stampo|molde",
        text,
    ):
        return "tooling"
    if ONE_OFF.search(text):
        return "one-off"
    return next((kind for kind, shape in _CHARGES if shape.search(text)), "other")
