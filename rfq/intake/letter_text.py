# ruff: noqa: E501 - patterns and whole sentences stand on one line
"""Running text of a letter: is it legible at all, where its sentences end, what a price contains."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterable, Sequence

from rfq.intake.letter_lines import Paragraph, Word
from rfq.intake.lexicon import Lexicon
from rfq.intake.matching import Known, looks_like_part
from rfq.model.codes import Scope, Ticked

# The commonest short words of the languages of trade; a scrambled layer holds (nearly) none.
_COMMON = frozenset(
    [
        "the",
        "and",
        "for",
        "you",
        "your",
        "our",
        "with",
        "from",
        "are",
        "this",
        "that",
        "will",
        "price",
        "prices",
        "delivery",
        "quotation",
        "quote",
        "part",
        "der",
        "die",
        "das",
        "und",
        "für",
        "mit",
        "von",
        "wir",
        "ihre",
        "ihr",
        "sie",
        "auf",
        "ist",
        "nicht",
        "den",
        "dem",
        "ein",
        "eine",
        "preis",
        "angebot",
        "zu",
        "lieferung",
        "les",
        "des",
        "une",
        "pour",
        "vous",
        "nous",
        "votre",
        "avec",
        "est",
        "dans",
        "prix",
        "offre",
        "délai",
        "sur",
        "aux",
        "par",
        "que",
        "gli",
        "della",
        "delle",
        "per",
        "con",
        "che",
        "una",
        "sono",
        "prezzo",
        "offerta",
        "vostra",
        "nostra",
        "consegna",
        "dei",
        "del",
        "los",
        "las",
        "por",
        "con",
        "una",
        "para",
        "que",
        "sus",
        "nuestra",
        "precio",
        "oferta",
        "plazo",
        "entrega",
        "nie",
        "jest",
        "dla",
        "oraz",
        "cena",
        "oferta",
        "dostawa",
        "państwa",
        "przez",
        "termin",
        "się",
        "qty",
        "pcs",
        "date",
        "total",
        "net",
        "page",
        "rev",
        "material",
        "description",
        "payment",
        "valid",
        "terms",
        "vat",
    ]
)
_SHORT = re.compile(
    r"(?i)^(?:\W*(?:nr|no|ca|inkl|incl|exkl|excl|zzgl|z|b|art|pos|rev|approx|max|min|ges|tel|st|stk|pcs|pc|ea|dr|mr|ms|mrs|hr|fr|str|co|ltd|inc|vs|e|g|i|d|h|bzgl|evtl|mwst|ref|q|cad|del|pz|uds|szt|art|vers|ind|nbr|qty|cert|gmbh|a|abt|jan|feb|mar|apr|jun|jul|aug|sep|sept|oct|okt|nov|dec|dez)|\d{1,2})\.$"
)
_OUT = (
    r"not included|not inclusive|non[- ]included|excluded|excluding|excl\b\.?|exclusive of|not part of|not in the (?:unit )?price|charged (?:extra|separately)|at extra cost|\bextra\b|without|by others"
    r"|nicht (?:enthalten|inbegriffen|im preis|inkludiert)|exkl\w*\.?|ausgenommen|zuzüglich|zzgl\.?|\bohne\b|wird gesondert|separat berechnet|non (?:compris\w*|inclus\w*)|hors\b|\bsans\b|en sus|en supplément|non (?:compres\w*|inclus\w*)|esclus\w*|a parte|\bsenza\b|no inclu\w+|exclu[iy]d\w*|aparte|\bsin\b|nie (?:zawiera|obejmuje)|\bbez\b|不含|不包括|另计"
)
_IN = r"included|including|includes?|incl\b\.?|inclusive(?: of)?|inkl\w*\.?|inbegriffen|enthält|enthalten|im preis|einschließlich|einschl\.?|compris\w*|inclus\w*|inclu[iy]d[oa]s?|incluye\w*|compres\w*|comprend\w*|w cenie|zawiera\w*|obejmuje|包含|包括|已含|含"
_STATE = re.compile(rf"(?i)(?P<out>{_OUT})|(?<![^\W\d_])(?P<in>{_IN})")
_THINGS: tuple[tuple[Scope, re.Pattern[str]], ...] = tuple(
    (scope, re.compile(words, re.IGNORECASE))
    for scope, words in (
        (Scope.FINISH, r"surface treatment|surface finish|\bfinish(?:ing)?\b|anodi[sz]\w+|plating|coating|oberfläche\w*|eloxal|eloxier\w*|beschichtung\w*|traitements? de surface|anodisation|finitions?|finitur\w*|trattament\w* superficial\w*|anodizza\w*|acabado\w*|tratamiento\w* superficial\w*|anodizado|powłok\w*|anodowani\w*|wykończeni\w*|表面处理|阳极"),
        (Scope.MASKS, r"\bmask(?:s|ing)?\b|maskier\w*|abdeck\w*|masquage|mascheratur\w*|enmascara\w*|maskowani\w*|遮蔽"),
        (Scope.CERTIFICATES, r"certificat\w*|certs?\b|\b3\.1\b|zeugnis\w*|certificad\w*|atest\w*|świadectw\w*|材质证明|证书"),
        (Scope.FIRST_ARTICLE, r"first[- ]articles?(?: inspection)?|\bfai\b|erstmuster\w*|\bempb\b|premi(?:er|ère)s? (?:article|pièce)\w*|prim[oa] (?:articolo|pezzo|campione)|primera pieza|primer artículo|pierwsz\w+ (?:sztuk\w*|wyr[oó]b\w*)|首件"),
        (Scope.INSPECTION, r"(?<!article )inspections?(?: reports?)?|measur\w+ reports?|messprotokoll\w*|prüfprotokoll\w*|prüfbericht\w*|contrôle\w*|rapport de mesure|collaudo|controllo|inspecci\w+|kontrol\w+|pomiar\w*|检验|检测"),
        (Scope.PACKING, r"pack(?:ing|aging)|verpackung\w*|emballages?|imball\w*|embalajes?|opakowani\w*|pakowani\w*|包装"),
        (Scope.FREIGHT, r"freight|shipping|carriage|transport\w*|delivery costs?|fracht\w*|versand\w*|lieferkosten|frais de port|\bport\b|trasport\w*|spedizion\w*|\bportes?\b|envío|wysyłk\w*|运费|运输"),
    )
)  # fmt: skip


def legible(texts: Iterable[str], known: Known, words: Lexicon) -> bool:
    """Whether lines read as a language: part numbers asked for, or words of the trade's languages.

    Args:
        texts: the lines of all pages.
        known: what the request asks for.
        words: heading lexicon.
    """
    lines = list(texts)[:400]
    if any(known.find(line, loose=False) for line in lines if len(line) < 300):
        return True
    joined = " ".join(lines)
    if len(re.findall(r"[\u3040-\u30ff\u3400-\u9fff]", joined)) > 0.2 * len(joined):
        return True
    spoken = [w.casefold() for w in re.findall(r"[^\W\d_]{2,}", joined)][:3000]
    if len(spoken) < 8:
        return True
    letters = [c for c in "".join(spoken) if c.isascii()]
    # the commonest letters of European languages make up 55 to 68 in 100 of a text [from memory];
    # exchanged letters bring that down to a third
    common = sum(c in "eanirtso" for c in letters) / max(len(letters), 1)
    if (
        len(letters) > 80
        and common > 0.55
        and sum(c in "aeiou" for c in letters) > 0.3 * len(letters)
    ):
        return True
    hits = sum(word in _COMMON for word in spoken)
    if hits >= max(2, 0.04 * len(spoken)):
        return True
    trade = sum(len(w) > 3 and words.read(w).sure == 1.0 for w in dict.fromkeys(spoken[:400]))
    return hits + trade >= max(3, 0.05 * min(len(spoken), 400))


def sentences(paragraph: Paragraph, known: Known) -> list[Paragraph]:
    """Return a paragraph's sentences, and each part with its price apart, with their own boxes."""
    out: list[list[Word]] = [[]]
    named = money = False
    words = paragraph.words
    for number, word in enumerate(words):
        is_part = (
            bool(known.find(word.text, loose=False))
            if known.numbers
            else looks_like_part(word.text.strip(".,;:()"))
        )
        if is_part and named and money:
            out.append([])
            named = money = False
        out[-1].append(word)
        named = named or is_part
        money = money or bool(re.search(r"\d[.,]\d\d(?!\d)|[€$£¥]", word.text))
        after = words[number + 1].text if number + 1 < len(words) else ""
        if word.text.endswith(";") or (
            word.text.endswith((".", "!", "?"))
            and not _SHORT.match(word.text)
            and after[:1].isupper()
        ):
            out.append([])
            named = money = False
    return [Paragraph(_text(part), tuple(part), part[0].page) for part in out if part]


def _text(words: Sequence[Word]) -> str:
    text = words[0].text
    for before, word in itertools.pairwise(words):
        broken = (
            word.y0 > before.y1 - 2 and re.search(r"[^\W\d_]-$", text) and word.text[:1].islower()
        )
        text = text[:-1] + word.text if broken else f"{text} {word.text}"
    return text


def scope_of(texts: Iterable[str]) -> dict[Scope, Ticked]:
    """Return what sentences say is in the unit price or out of it; contradictions are left out.

    >>> scope_of(["Included: surface treatment with masking, packing. Freight is not included."])
    {<Scope.FINISH: 'finish'>: 'in', <Scope.MASKS: 'masks'>: 'in', <Scope.PACKING: 'packing'>: 'in', <Scope.FREIGHT: 'freight'>: 'out'}
    """
    said: dict[Scope, set[Ticked]] = {}
    for text in texts:
        for sentence in re.split(
            r"(?<=[^\W\d_]{3})[.;。；]\s*|(?<=\d)[.;]\s+(?=[^\W\d_])|\n", text
        ):
            _scope_in(sentence, said)
    return {scope: next(iter(said[scope])) for scope in Scope if len(said.get(scope, ())) == 1}


def _scope_in(sentence: str, said: dict[Scope, set[Ticked]]) -> None:
    if len(sentence) > 500:
        return
    states: list[tuple[int, Ticked]] = [
        (m.start(), "out" if m["out"] else "in") for m in _STATE.finditer(sentence)
    ]
    if not states:
        return
    things = sorted(
        (m.start(), scope) for scope, shape in _THINGS for m in shape.finditer(sentence)
    )
    leads = bool(things) and states[0][0] < things[0][0]
    for at, scope in things:
        before = [state for spot, state in states if spot < at]
        after = [state for spot, state in states if spot > at]
        chosen = (before[-1:] or after[:1]) if leads else (after[:1] or before[-1:])
        if chosen:
            said.setdefault(scope, set()).add(chosen[0])


_CANNOT = re.compile(
    r"(?i)\b(?:can ?not|can['’]t|unable to|not able to|not in a position to|regret|declin\w*|do not (?:quote|offer)|no (?:quote|bid|offer))\b"
    r"|\bleider\b[^.]*\bnicht\b|können wir\b[^.]*\bnicht\b|\bnicht (?:angeboten|anbieten|fertigen|möglich|liefern)|kein angebot"
    r"|ne pouvons\b[^.]*\bpas|pas en mesure|non (?:possiamo|siamo in grado)|no (?:podemos|cotizamos|ofertamos)|nie (?:możemy|oferujemy|wykonujemy)|无法报价|不报价"
)
_ABOUT_PRICE = re.compile(
    r"(?i)tolerance|toleranz|hold|guarantee|garant|discount|skonto|\b(?:less|lower|below|before|earlier|unless)\b"
)


def declined_in(sentence: str, known: Known) -> list[str]:
    """Return the parts that a sentence says are not quoted; none where it holds an amount."""
    if len(sentence) > 400 or not _CANNOT.search(sentence) or _ABOUT_PRICE.search(sentence):
        return []
    if re.search(r"\d[.,]\d\d(?!\d)|[€$£]", sentence):
        return []
    found = (known.find(word.strip(".,;:()"), loose=False) for word in sentence.split())
    return list(dict.fromkeys(match.part for match in found if match))
