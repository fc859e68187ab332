# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Money in a cell or a heading: currency, price base and tax words beside a number.

Symbols and codes: ISO 4217 for the codes; signs, short forms and words are common practice
(no source).
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from rfq.intake.numbers import Figure, figure, plain_digits

CODES = frozenset(
    [
        "EUR",
        "USD",
        "GBP",
        "CHF",
        "CNY",
        "JPY",
        "PLN",
        "CZK",
        "HUF",
        "SEK",
        "NOK",
        "DKK",
        "ISK",
        "RON",
        "BGN",
        "TRY",
        "RUB",
        "UAH",
        "INR",
        "KRW",
        "TWD",
        "HKD",
        "SGD",
        "AUD",
        "CAD",
        "NZD",
        "MXN",
        "BRL",
        "ZAR",
        "THB",
        "VND",
        "MYR",
        "IDR",
        "PHP",
        "ILS",
        "AED",
        "SAR",
        "CLP",
        "COP",
        "ARS",
        "EGP",
        "RSD",
    ]
)
# Longest first when matched. A sign that several countries use maps to them all: it is asked.
_SIGNS: dict[str, tuple[str, ...]] = {
    "us$": ("USD",),
    "u$s": ("USD",),
    "usd$": ("USD",),
    "$us": ("USD",),
    "a$": ("AUD",),
    "au$": ("AUD",),
    "c$": ("CAD",),
    "ca$": ("CAD",),
    "cad$": ("CAD",),
    "nz$": ("NZD",),
    "hk$": ("HKD",),
    "nt$": ("TWD",),
    "s$": ("SGD",),
    "sg$": ("SGD",),
    "mx$": ("MXN",),
    "r$": ("BRL",),
    "cn¥": ("CNY",),
    "jp¥": ("JPY",),
    "€": ("EUR",),
    "£": ("GBP",),
    "$": ("USD", "CAD", "AUD", "HKD", "SGD", "NZD", "TWD", "MXN"),
    "¥": ("CNY", "JPY"),
    "₹": ("INR",),
    "₩": ("KRW",),
    "₺": ("TRY",),
    "₪": ("ILS",),
    "฿": ("THB",),
    "₫": ("VND",),
    "₽": ("RUB",),
    "₴": ("UAH",),
    "zł": ("PLN",),
    "zl": ("PLN",),
    "zlotych": ("PLN",),
    "złotych": ("PLN",),
    "kč": ("CZK",),
    "ft": ("HUF",),
    "kr": ("SEK", "NOK", "DKK", "ISK"),
    "kr.": ("DKK", "SEK", "NOK", "ISK"),
    "dkr": ("DKK",),
    "skr": ("SEK",),
    "nkr": ("NOK",),
    "lei": ("RON",),
    "лв": ("BGN",),
    "руб": ("RUB",),
    "tl": ("TRY",),
    "rs": ("INR",),
    "rs.": ("INR",),
    "inr": ("INR",),
    "rmb": ("CNY",),
    "cnh": ("CNY",),
    "rmb¥": ("CNY",),
    "元": ("CNY",),
    "人民币": ("CNY",),
    "人民幣": ("CNY",),
    "美元": ("USD",),
    "美金": ("USD",),
    "欧元": ("EUR",),
    "歐元": ("EUR",),
    "円": ("JPY",),
    "日元": ("JPY",),
    "sfr": ("CHF",),
    "sfr.": ("CHF",),
    "fr.": ("CHF",),
    "franken": ("CHF",),
    "euro": ("EUR",),
    "euros": ("EUR",),
    "dollars": ("USD", "CAD", "AUD"),
    "dollar": ("USD", "CAD", "AUD"),
    "us dollars": ("USD",),
    "us dollar": ("USD",),
    "us-dollar": ("USD",),
    "canadian dollars": ("CAD",),
    "pounds sterling": ("GBP",),
    "sterling": ("GBP",),
    "swiss francs": ("CHF",),
}
_LETTER = r"[^\W\d_\u2e80-\uffff]"  # Chinese has no blanks: 价格为CNY
_ALL = sorted({**{code.lower(): (code,) for code in CODES}, **_SIGNS}, key=len, reverse=True)
_CURRENCY = re.compile(
    "|".join(
        (rf"(?<!{_LETTER})" if sign[0].isalpha() and sign.isascii() else "")
        + re.escape(sign)
        + (
            rf"(?!{_LETTER})"
            if sign[-1].isalpha() and (sign[-1].isascii() or sign in ("zł", "kč"))
            else ""
        )
        for sign in _ALL
    )
)
# 'Rs' or 'tl' or 'ft' or 'lei' in running text is more often a word than money.
_ONLY_BY_NUMBER = {"rs", "tl", "ft", "fr.", "zl", "lei", "kr", "kr.", "try", "all"}

# Italian 'cad.' (cadauno) is 'each'; only capital letters away from a price word name the dollar.
_EACH = re.compile(
    r"(?<![^\W\d_])(?:cad|Cad)(?![^\W\d_]|\$)"
    r"|(?<=PREZZO )CAD(?=\.|\b)|(?<=COSTO )CAD(?=\.|\b)|(?<=EUR )CAD\.|(?<=€ )CAD\."
)

# Price bases; the piece words of the trade's languages.
PIECE = (
    r"(?:pieces?|pcs?\.?|pc|ea\.?|each|units?|unit|parts?|item|off|st(?:ü|ue)c?k\.?|stck\.?|stk\.?|st\."
    r"|teile?|pi(?:è|e)ces?|p(?:ce|ces)\.?|pz\.?|pezz[oi]|cad\.?|uds?\.?|unid(?:ad(?:es)?)?\.?"
    r"|pzas?\.?|piezas?|szt\.?|sztuk[ai]?|ks\.?|kus[ůy]?|db|件|个|個|只|pce)"
)
_TO = r"(?:per|je|pro|pour|par|les?|al|ogni|por|cada|za|na|每|/|à|a)"
_BASES: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (base, re.compile(pattern, re.IGNORECASE))
    for base, pattern in (
        (
            "kg",
            rf"{_TO}\s*(?:1\s*)?(?:kg|kilo(?:gramm?)?|公斤|千克)\b|(?<![a-z])(?:eur|€|usd|\$|chf|pln)\s*/\s*kg\b|^\s*kg\s*$|\bkilopreis\b",
        ),
        (
            "1000",
            rf"{_TO}\s*1[., '’\u00a0]?000(?![\d.,]*\d)|{_TO}\s*(?:thousand|tausend|tsd\.?|mille|mila|mil|tys\.?|tisíc|千)(?!\w)|^\s*(?:m|%o|‰|mil|1[.,' ]?000)\s*$|^\s*1[.,' ]?000\s*{PIECE}\s*$|千件|%o|‰|tausendstück|/\s*m(?:il)?\s*$",
        ),
        (
            "100",
            rf"{_TO}\s*100(?![\d.,'’]*\d)|{_TO}\s*(?:hundred|hundert|cent(?:o|aine)?|cien|ciento|sto|百)(?!\w)|^\s*(?:c|%|100|cpl)\s*$|^\s*100\s*{PIECE}\s*$|百件|hundertst|%\s*(?:stk|st|stück)|/\s*c\s*$|\bhundredweight price\b|preis\s*%",
        ),
        ("10", rf"{_TO}\s*10(?![\d.,'’]*\d)(?!\s*%)|^\s*10\s*{PIECE}\s*$"),
        (
            "dozen",
            rf"{_TO}\s*(?:dozen|dutzend|dtz\.?|dz\.?|douzaine|dozzina|docena|tuzin)(?!\w)|^\s*(?:dozen|dz\.?|dzn|doz\.?|dtz\.?)\s*$",
        ),
        (
            "lot",
            r"(?<![a-z])(?:per|/|je|pro|par|por|al|za)\s*(?:lot|los|lotto|lote|batch|charge|parti[ae]|批)(?!\w)|^\s*(?:lots?|los|batch|lump sum|ls|pauschal|forfait|lotto|lote|partia)\s*$|\blot (?:price|total|cost|charge)s?\b|\blump[- ]sum\b|\bpauschal\w*|\bbatch price\b|\blospreis\b|prix (?:du|par|au) lot|prezzo (?:a|del|per) lotto|precio (?:del|por) lote|cena za parti[ęe]|批价|整批",
        ),
        (
            "1",
            rf"{_TO}\s*(?:1\s*)?{PIECE}(?!\w)|^\s*(?:1\s*)?{PIECE}\s*$|^\s*1\s*$|\beach\b|\bper part\b|\bunit price\b|\beinzelpreis\b|\bstückpreis\b",
        ),
    )
)
_TAX_IN = re.compile(
    r"\b(?:incl?|inkl|including|included|inclusive|einschl(?:ie(?:ß|ss)lich)?|inkludiert|enthalten|compris\w*|inclus[ae]?|inclu[iy]d[oa]s?|compres[ao]|zawiera|w tym|s)\.?\s*(?:of\s*|der\s*|ges\.?\s*|gesetzl\w*\.?\s*|de\s*|la\s*|l['’]|el\s*|les\s*|\d+(?:[.,]\d+)?\s*%\s*)*(?:vat|tax|sales tax|gst|hst|mwst|ust|mehrwertsteuer|umsatzsteuer|tva|t\.v\.a|iva|i\.v\.a|ptu|dph)\b"
    r"|\b(?:vat|tax|gst|mwst|ust|mehrwertsteuer|tva|iva)\.?\s*(?:of\s*)?(?:\d+(?:[.,]\d+)?\s*%\s*)?(?:is\s+|ist\s+|est\s+)?(?:already\s+)?(?:incl\w*|inkl\w*|enthalten|comprise?|inclus[ao]|inclu[iy]d[oa]|compresa)\b"
    r"|\bbrutto\w*|\bbruttopreise?\b|\bttc\b|\bt\.t\.c\.?|\bz vat\b|\bgross price\b|\bprice gross\b|含税|含稅|\bcon iva\b|\biva incl|\bs dph\b",
    re.IGNORECASE,
)
_TAX_OUT = re.compile(
    r"\b(?:excl?|exkl|excluding|excluded|exclusive|plus|zzgl|zuzgl|zuz(?:ü|ue)glich|ohne|exclud\w*|hors|senza|esclus[ao]|sin|m[áa]s|pi[ùu]|bez|without|not incl\w*|nicht enthalten|before|net of|\+)\.?\s*(?:of\s*|der\s*|ges\.?\s*|gesetzl\w*\.?\s*|gültige\w?\s*|jeweils\s*|any\s*|applicable\s*|\d+(?:[.,]\d+)?\s*%\s*)*(?:vat|tax(?:es)?|sales tax|gst|hst|mwst|ust|mehrwertsteuer|umsatzsteuer|tva|iva|ptu|dph)\b"
    r"|\b(?:vat|tax|gst|mwst|ust|mehrwertsteuer|tva|iva)\.?\s*(?:is\s+|ist\s+)?(?:not\s+incl\w*|excl\w*|extra|nicht enthalten|esclusa|exclu\w*|non comprise)"
    r"|\bnetto\w*|\bnet(?:t)? prices?\b|\bprices? (?:are )?net\b|\bh\.?t\.?(?![\w])|\bhors tax\w*|不含税|未税|未稅|不含稅|\bbez vat\b|\bsin iva\b|\bunit price net\b|\bnet unit\b|\bnet each\b",
    re.IGNORECASE,
)
_TAX_NAME = re.compile(
    r"(?i)\b(?:vat|tax|gst|hst|mwst|ust|mehrwertsteuer|umsatzsteuer|tva|t\.v\.a|iva|i\.v\.a|ptu|dph|ttc)\b|税|稅"
)
_PERCENT = re.compile(r"(\d{1,2}(?:[.,]\d{1,2})?)\s*%")


@dataclass(frozen=True, slots=True)
class Money:
    """A text read as an amount of money.

    Args:
        figure: the number with its readings.
        currencies: what the sign can mean; one where it is plain, none where there is no sign.
        base: price base printed beside the number, or ''.
        percent: the number is a percentage.
        words: what else stands in the text.
    """

    figure: Figure
    currencies: tuple[str, ...] = ()
    base: str = ""
    percent: bool = False
    words: str = ""


def currencies_in(text: str, *, beside_number: bool = False) -> tuple[str, ...]:
    """Return the currencies a text names, in order, each once; a doubtful sign gives several.

    >>> currencies_in("Unit Price (USD)"), currencies_in("Preis € / 100 Stück")
    (('USD',), ('EUR',))
    """
    found: list[str] = []
    text = _EACH.sub(" ", text)
    for match in _CURRENCY.finditer(plain_digits(text).lower()):
        sign = match[0]
        if sign in _ONLY_BY_NUMBER and not beside_number:
            continue
        for code in _SIGNS.get(sign, (sign.upper(),)):
            if code not in found:
                found.append(code)
    if len(found) > 1:
        # 'US$ / USD', or '$' with 'CAD' in the same text: a plain sign settles a doubtful one.
        plain = [
            code
            for match in _CURRENCY.finditer(plain_digits(text).lower())
            if match[0] not in _ONLY_BY_NUMBER or beside_number
            for code in _SIGNS.get(match[0], (match[0].upper(),))
            if len(_SIGNS.get(match[0], ("x",))) == 1
        ]
        if len(set(plain)) == 1:
            return (plain[0],)
        if plain:
            return tuple(dict.fromkeys(plain))
    return tuple(found)


def base_in(text: str) -> str:
    """Return the price base a text names: '1', '10', '100', '1000', 'lot', 'kg', 'dozen' or ''.

    >>> base_in("Preis € / 100 Stück"), base_in("per 1,000 pcs"), base_in("Lot Price")
    ('100', '1000', 'lot')
    """
    plain = plain_digits(text)
    return next((base for base, pattern in _BASES if pattern.search(plain)), "")


def tax_in(text: str) -> tuple[str, str]:
    """Return ('included' | 'excluded' | '', percent as printed or '').

    >>> tax_in("Preis inkl. 19 % MwSt."), tax_in("zzgl. 19% MwSt."), tax_in("Prix HT")
    (('included', '19'), ('excluded', '19'), ('excluded', ''))
    """
    plain = plain_digits(text)
    out, inside = _TAX_OUT.search(plain), _TAX_IN.search(plain)
    found = out or inside
    rate = ""
    if found and _TAX_NAME.search(plain):
        percent = _PERCENT.search(found[0])
        near = (
            None
            if percent
            else re.search(
                r"(?:(\d{1,2}(?:[.,]\d{1,2})?)\s*%[^,;.]{0,14}$)", plain[: found.start()]
            )
            or re.match(r"[^,;%]{0,14}?(\d{1,2}(?:[.,]\d{1,2})?)\s*%", plain[found.end() :])
        )
        chosen = percent or near
        rate = chosen[1].replace(",", ".") if chosen else ""
    if out and inside:
        # 'net price, VAT not included' holds both words; the longer phrase is the statement
        if out.start() <= inside.start() <= out.end() or inside.end() <= out.end():
            return "excluded", rate
        return "", rate
    if out:
        return "excluded", rate
    if inside:
        return "included", rate
    return "", ""


_NUMBER = re.compile(
    r"[-+\u2212]?\s*\(?[\d.,](?:[\d.,'’‘`´ʼ\u00a0\u202f\u2009\u2007 ]*[\d])?(?:[.,][-\u2013\u2014]{1,2})?\)?(?:[eE][+-]?\d{1,2}(?!\w))?(?:-(?=\s|$))?"
)
_BASE_WORDS = re.compile(
    rf"(?:{_TO}\s*)?(?:(?:1[., '’]?000|100|10|1)\s*)?{PIECE}(?!\w)|{_TO}\s*(?:1[., '’]?000|100|10|1)(?!\d)|{_TO}?\s*(?:kg|dozen|dz\.?|lot|los)(?!\w)|/\s*[cm](?!\w)",
    re.IGNORECASE,
)


def money(text: str) -> Money:
    """Return the amount in a cell's text with what stands beside the number.

    >>> money("€ 1.234,50 / 100 Stk").figure.values, money("€ 1.234,50 / 100 Stk").base
    ((Decimal('1234.50'),), '100')
    >>> money("45,90 EUR").currencies, money("12,5 %").percent
    (('EUR',), True)
    """
    plain = plain_digits(text).strip()
    lowered = plain.lower()
    signs = currencies_in(plain, beside_number=True)
    rest = _CURRENCY.sub(" ", lowered) if signs else lowered
    base = ""
    worded = _BASE_WORDS.search(rest)
    if worded and re.search(r"\d", rest[: worded.start()]):
        base = base_in(rest[worded.start() :].strip())
        rest = rest[: worded.start()] + " " + rest[worded.end() :]
    elif worded and re.search(r"\d", rest[worded.end() :]):
        base = base_in(worded[0].strip())
        rest = rest[: worded.start()] + " " + rest[worded.end() :]
    percent = bool(re.search(r"\d\s*%(?!\w)", rest))
    if percent:
        rest = rest.replace("%", " ")
    # a footnote's mark behind the number is no second number
    rest = re.sub(r"(?<=\d)\s*(?:[*†‡§]+|\s\(?[1-9]\))\s*$", "", rest)
    found = list(_NUMBER.finditer(rest))
    if len(found) != 1:
        return Money(Figure(text), signs, base, percent, rest.strip())
    number = found[0]
    words = (rest[: number.start()] + " " + rest[number.end() :]).strip(" /:;=|~*")
    return Money(figure(number[0].strip()), signs, base, percent, words.strip())
