# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""Part numbers: the same number written otherwise, its revision, and how sure a match is."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from rfq.intake.numbers import plain_digits

_REVISION_WORD = re.compile(
    r"(?i)[\s,;:_/(\[-]*(?<![a-z0-9])(?:rev(?:ision|isione|isión|\.?\s*level)?|index|indice|índice|ind|issue|iss|ver(?:sion)?|rew(?:izja)?|wersja|änd|ausgabe|版本|版次)\s*[.:#=-]?\s*([A-Za-z0-9]{1,3})(?![A-Za-z0-9])[\])]?"
)
_REVISION_TAIL = re.compile(r"^(.*[0-9])\s*(?:[-/_]|\s*\(|\s+)\s*([A-Za-z]|[A-Z]\d|\d[A-Z])\s*\)?$")
_REVISION_SLASH = re.compile(r"^(.*[0-9A-Za-z])\s*/\s*([A-Za-z]|\d{1,2}|[A-Z]\d)$")
_LOOKALIKE = str.maketrans("oilsbz", "011582")


@lru_cache(maxsize=20_000)
def bare(number: str) -> str:
    """Return a part number without what shops change: case, spaces, signs, leading noughts.

    >>> bare("BR-1041"), bare("br 01041"), bare("Br_1041.")
    ('br1041', 'br1041', 'br1041')
    """
    text = plain_digits(number).casefold()
    text = re.sub(r"(?<![0-9])0+(?=[0-9])", "", text)
    return re.sub(r"[\W_]", "", text)


@dataclass(frozen=True, slots=True)
class Match:
    """A part number found in a text.

    Args:
        part: the request's number, or as printed where no request is known.
        revision: revision printed with it.
        sure: 0 to 1; below 0.9 it is asked.
        how: in words.
        rest: text of the cell beside the number.
    """

    part: str
    revision: str = ""
    sure: float = 1.0
    how: str = ""
    rest: str = ""

    def __bool__(self) -> bool:
        return bool(self.part)


NOTHING = Match("", sure=0.0)


@dataclass(slots=True)
class Known:
    """The part numbers, revisions and quantities that the request asks for; may be empty."""

    numbers: dict[str, str] = field(default_factory=dict)  # number -> revision
    quantities: dict[str, tuple[int, ...]] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    _bare: dict[str, list[str]] = field(default_factory=dict)
    _cache: dict[tuple[str, bool], Match] = field(default_factory=dict)

    @classmethod
    def of(cls, request: Any = None, parts: Any = None) -> Known:
        """Return what a request and its parts make known.

        Args:
            request: model.Request or None.
            parts: parts by number, or parts, or None.
        """
        records: Iterable[Any] = ()
        if parts:
            records = parts.values() if isinstance(parts, Mapping) else parts
        known = cls()
        by_number = {part.number: part for part in records}
        if request is not None:
            for line in request.lines:
                part = by_number.get(line.part)
                known.numbers[line.part] = part.revision if part else ""
                known.quantities[line.part] = line.quantities
                known.names[line.part] = part.name if part else ""
        else:
            for number, part in by_number.items():
                known.numbers[number] = part.revision
                known.names[number] = part.name
        for number in known.numbers:
            known._bare.setdefault(bare(number), []).append(number)
        return known

    def find(self, text: str, *, loose: bool = True) -> Match:
        """Return the request's part that a text names; nothing where no request is known.

        Args:
            text: a cell's text.
            loose: also near misses and lookalikes, which are asked.
        """
        if not self.numbers or not text or len(text) > 300:
            return NOTHING
        key = (text, loose)
        hit = self._cache.get(key)
        if hit is None:
            hit = self._cache[key] = self._find(text, loose)
        return hit

    def _find(self, text: str, loose: bool) -> Match:
        whole = text.strip()
        stem, revision = split_revision(whole)
        for candidate, rev, how in (
            (whole, "", "as printed"),
            (stem, revision, "with its revision"),
        ):
            numbers = self._bare.get(bare(candidate), [])
            if len(numbers) == 1:
                exact = candidate == numbers[0]
                return Match(numbers[0], rev, 1.0 if exact else 0.97, how if exact else "respelled")
            if len(numbers) > 1:
                same = [n for n in numbers if n.casefold() == candidate.casefold()]
                if len(same) == 1:
                    return Match(same[0], rev, 1.0, how)
                return Match(numbers[0], rev, 0.5, "several parts are written alike")
        inside = self._inside(whole)
        if inside:
            return inside
        return self._near(stem, revision) if loose else NOTHING

    def _inside(self, text: str) -> Match:
        """A known number as whole words inside a longer text."""
        words = list(re.finditer(r"[^\s,;:()\[\]]+", plain_digits(text)))
        for length in (1, 2, 3):
            for start in range(len(words) - length + 1):
                piece = text[words[start].start() : words[start + length - 1].end()]
                if len(piece) > 60 or not re.search(r"\d", piece):
                    continue
                stem, revision = split_revision(piece)
                for candidate, rev in ((piece, ""), (stem, revision)):
                    key = bare(candidate)
                    if len(key) < 4:
                        continue
                    numbers = self._bare.get(key, [])
                    if len(numbers) == 1:
                        after = text[words[start + length - 1].end() :]
                        worded = _REVISION_WORD.match(after)
                        rest = (text[: words[start].start()] + " " + after).strip()
                        return Match(
                            numbers[0],
                            rev or (worded[1].upper() if worded else ""),
                            0.95,
                            "inside the text",
                            rest,
                        )
        return NOTHING

    def _near(self, text: str, revision: str) -> Match:
        key = bare(text)
        if len(key) < 4 or len(key) > 40 or not re.search(r"\d", key):
            return NOTHING
        shape = bare(text.casefold().translate(_LOOKALIKE))
        alike = [n for n in self.numbers if bare(n.casefold().translate(_LOOKALIKE)) == shape]
        if len(alike) == 1:
            return Match(alike[0], revision, 0.8, "letters and digits that look alike differ")
        from rapidfuzz import fuzz, process

        near = process.extract(key, list(self._bare), scorer=fuzz.ratio, score_cutoff=84, limit=2)
        if near and (len(near) == 1 or near[0][1] - near[1][1] > 3):
            return Match(
                self._bare[near[0][0]][0], revision, near[0][1] / 100 * 0.8, "nearly the same"
            )
        return NOTHING


def split_revision(text: str) -> tuple[str, str]:
    """Return (number, revision) where a text says the revision in words or after a slash.

    >>> split_revision("BR-1041 Rev B"), split_revision("BR-1041/B"), split_revision("BR-1041-B")
    (('BR-1041', 'B'), ('BR-1041', 'B'), ('BR-1041', 'B'))
    >>> split_revision("SH-2007")
    ('SH-2007', '')
    """
    body = text.strip()
    worded = _REVISION_WORD.search(body)
    if worded and worded.start() > 0:
        rest = (body[: worded.start()] + " " + body[worded.end() :]).strip(" ,;:-/_()")
        return rest, worded[1].upper()
    for shape in (_REVISION_SLASH, _REVISION_TAIL):
        tail = shape.match(body)
        if tail:
            return tail[1].strip(" -_/("), tail[2].upper()
    return body, ""


def match_shop(name: str, shops: Iterable[Any]) -> tuple[str, float]:
    """Return (shop id, confidence) of the shop a text names.

    Args:
        name: a name or an e-mail address from the reply.
        shops: shop records.
    """
    from rapidfuzz import fuzz

    best, confidence = "", 0.0
    wanted = _company(name)
    for shop in shops:
        if "@" in name:
            address = (shop.contact.email or "").casefold()
            if address and address == name.casefold():
                return shop.id, 1.0
            host = address.rpartition("@")[2]
            if (
                host
                and host == name.casefold().rpartition("@")[2]
                and not host.startswith("example.")
            ):
                best, confidence = shop.id, max(confidence, 0.9)
            continue
        if not wanted:
            continue
        ratio = fuzz.token_sort_ratio(wanted, _company(shop.name)) / 100
        if wanted in (shop.id, shop.id.replace("-", " ")):
            ratio = 1.0
        if ratio > confidence:
            best, confidence = shop.id, ratio
    return best, confidence


def _company(name: str) -> str:
    text = re.sub(
        r"(?i)\b(?:gmbh|ag|kg|co|ltd|limited|inc|llc|corp|s\.?r\.?l|s\.?p\.?a|sarl|sas|s\.?a|sp\.? z o\.?o|bv|ab|oy|plc|mbh|e\.?k)\b\.?|&",
        " ",
        name.casefold(),
    )
    return re.sub(r"[^\w]+", " ", text).strip()


def looks_like_part(text: str) -> bool:
    """Whether a text has the shape of a part number: letters and digits, no sentence.

    >>> looks_like_part("BR-1041 Rev B"), looks_like_part("Total 4.883,10"), looks_like_part("10 pcs")
    (True, False, False)
    """
    body = re.sub(
        r"(?i)[\s(/,_-]*(?:rev(?:ision)?|index|ind|issue|ver)\b\.?\s*\w{1,3}\)?", "", text
    ).strip()
    return bool(
        re.fullmatch(
            r"[A-Za-z]{1,6}[-_ ./]?[A-Za-z]{0,3}\d{2,}[\w./-]*|\d{2,6}[-_.][\dA-Za-z][\w.-]{2,}",
            body,
        )
    ) and not re.fullmatch(
        r"(?i)(?:rev|qty|pos|item|line|iso|din|en|total|net|per|ab|je|pro|par|from|bei|at|for|lot|los|page|q)\W?\d+",
        body,
    )
