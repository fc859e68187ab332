"""The heading lexicon: what a column's heading says, in the languages of trade.

The phrases are data (``headings.csv``: meaning, language, phrases parted by '|'; common practice,
no source). A project adds its own rows with a file of the same shape.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from rfq.intake.numbers import plain_digits

_CJK = re.compile(r"[\u3040-\u30ff\u3400-\u9fff]")
# Words beside the phrase that say nothing of the meaning.
_FILLER = frozenset(
    [
        "the",
        "of",
        "in",
        "a",
        "an",
        "and",
        "for",
        "your",
        "our",
        "no",
        "excl",
        "incl",
        "net",
        "netto",
        "net.",
        "per",
        "each",
        "vat",
        "mwst",
        "tva",
        "iva",
        "tax",
        "ht",
        "ttc",
        "eur",
        "usd",
        "gbp",
        "chf",
        "pln",
        "czk",
        "cny",
        "jpy",
        "sek",
        "€",
        "$",
        "£",
        "¥",
        "zł",
        "pcs",
        "pc",
        "stk",
        "st",
        "stück",
        "ea",
        "pz",
        "uds",
        "szt",
        "件",
        "元",
        "de",
        "der",
        "die",
        "das",
        "für",
        "in",
        "je",
        "pro",
        "par",
        "en",
        "al",
        "w",
        "za",
        "z",
        "à",
        "%",
        "kg",
        "mm",
        "days",
        "weeks",
        "wochen",
        "tage",
    ]
)


@dataclass(frozen=True, slots=True)
class Heading:
    """What a heading means: the meaning, how sure (0 to 1), and which phrase said so."""

    meaning: str = ""
    sure: float = 0.0
    phrase: str = ""


def normal(text: str) -> str:
    """Return a heading's words in small letters, without stops and brackets.

    >>> normal("  Part-No. / Rev (your)"), normal("Qté.")
    ('part no/rev your', 'qté')
    """
    text = plain_digits(text).casefold().replace("ß", "ss")
    text = re.sub(r"[\[\](){}:;,\"*_\n\r\t|=]+", " ", text)
    text = re.sub(r"(?<=\w)[-‐‑–](?=\w)|\.(?!\d)", " ", text)
    return re.sub(r"\s+", " ", re.sub(r"\s*/\s*(?=\w)", "/", text)).strip(" -–/").replace(" /", "/")


class Lexicon:
    """Phrases by meaning; the longest phrase that a heading holds wins."""

    def __init__(self, rows: list[tuple[str, str]]) -> None:
        self._exact: dict[str, str] = {}
        for meaning, phrase in rows:
            self._exact.setdefault(normal(phrase), meaning)
        self._by_length = sorted(self._exact, key=len, reverse=True)
        worded = [re.escape(p) for p in self._by_length if not _CJK.search(p) and len(p) > 1]
        self._words = re.compile(r"(?<![^\W_])(?:" + "|".join(worded) + r")(?![^\W_])")
        self._cjk = [p for p in self._by_length if _CJK.search(p)]
        self._seen: dict[str, Heading] = {}

    def read(self, text: str) -> Heading:
        """Return what a heading means; an empty meaning where nothing fits."""
        known = self._seen.get(text)
        if known is None:
            known = self._seen[text] = self._read(text)
        return known

    def _read(self, text: str) -> Heading:
        if not text or len(text) > 120:
            return Heading()
        plain = normal(text)
        if plain in self._exact:
            return Heading(self._exact[plain], 1.0, plain)
        bare = " ".join(word for word in plain.split() if word not in _FILLER)
        if bare and bare in self._exact:
            return Heading(self._exact[bare], 0.97, bare)
        for phrase in self._cjk:
            if phrase in plain:
                return Heading(self._exact[phrase], 0.95, phrase)
        found = sorted(self._words.findall(plain), key=len, reverse=True)
        if found and len(found[0]) >= 2:
            share = len(found[0]) / max(len(bare or plain), 1)
            # one phrase in a long sentence is no heading
            if share >= 0.3 or len(plain.split()) <= 5:
                return Heading(self._exact[found[0]], 0.6 + 0.35 * min(share, 1.0), found[0])
        if 4 <= len(bare) <= 30:
            from rapidfuzz import fuzz, process

            near = process.extractOne(bare, self._by_length, scorer=fuzz.ratio, score_cutoff=88)
            if near and len(near[0]) >= 4:
                # a misspelt heading is a guess: below what is taken without asking
                return Heading(self._exact[near[0]], near[1] / 100 * 0.58, near[0])
        return Heading()


def read_phrases(path: Path) -> list[tuple[str, str]]:
    """Return (meaning, phrase) pairs of a lexicon file."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        return [
            (row["meaning"].strip(), phrase.strip())
            for row in csv.DictReader(file)
            for phrase in (row.get("phrase") or "").split("|")
            if phrase.strip()
        ]


@lru_cache(maxsize=8)
def lexicon(own: Path | None = None) -> Lexicon:
    """Return the shipped lexicon, a project's own phrases first.

    Args:
        own: a project's file of the same shape, or None.
    """
    rows = read_phrases(Path(__file__).with_name("headings.csv"))
    return Lexicon((read_phrases(own) if own is not None and own.is_file() else []) + rows)
