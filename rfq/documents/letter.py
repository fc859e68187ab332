"""A letter to one shop: subject and body from templates/, as a mail draft and as plain text."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from rfq.documents.mail import drafts, letter_values, plain_text
from rfq.documents.outgoing import Outgoing
from rfq.documents.wording import Letter, Wording, day_in_words, moment_in_words

# What stands for a filled-in fact in letters of each language.
WORDS: dict[str, dict[str, str]] = {
    "en": {
        "last": "This is the last round; we decide on what we have then.",
        "caution": "What changes material, temper, finish or a tolerance is a proposal until our "
        "responsible engineer has agreed to it in writing.",
        "accept": "accepted", "concession": "accepted with a concession, for this lot only",
        "rework": "rework and show it again", "replace": "make a new first article",
        "released": "released", "held": "not released yet", "pcs": "pcs", "one-off": "one-off",
        "first": "one piece with a report of every numbered characteristic; the lot after our "
        "written release",
    },
    "de": {
        "last": "Dies ist die letzte Runde; wir entscheiden danach auf dem dann bekannten Stand.",
        "caution": "Was Werkstoff, Zustand, Oberfläche oder eine Toleranz ändert, bleibt ein "
        "Vorschlag, bis unser verantwortlicher Ingenieur schriftlich zugestimmt hat.",
        "accept": "angenommen", "concession": "mit Sonderfreigabe angenommen, nur für dieses Los",
        "rework": "nacharbeiten und erneut vorstellen", "replace": "neues Erstmuster fertigen",
        "released": "freigegeben", "held": "noch nicht freigegeben", "pcs": "Stück",
        "one-off": "einmalig",
        "first": "ein Stück mit Prüfbericht über jedes nummerierte Merkmal; das Los nach unserer "
        "schriftlichen Freigabe",
    },
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ShopLetter:
    """A letter as written: the shop, what it says, and its two files."""

    shop: str
    kind: str
    letter: Letter
    files: Mapping[str, bytes]


def words_for(language: str) -> Mapping[str, str]:
    """Return the fixed words of a language, English where it has none."""
    return WORDS.get(language, WORDS["en"])


def shop_letter(
    out: Outgoing,
    wording: Wording,
    kind: str,
    values: Mapping[str, str],
    *,
    attached: Mapping[str, bytes] | None = None,
    answer_by: datetime | None = None,
) -> ShopLetter:
    """Return a letter of a kind to a shop, in its language.

    Args:
        out: whom it goes to and what it may see.
        wording: texts. kind: 'targets', 'question', 'clarification', 'award', 'decline',
            'first-article' or 'reminder'.
        values: of the kind's own blanks.
        attached: files that go with it, by name.
        answer_by: in place of the round's cut-off.
    """
    language = out.shop.language if wording.has(kind, out.shop.language) else "en"
    filled = letter_values(out, language, ())
    if answer_by is not None:
        filled["answer_by"] = moment_in_words(answer_by, language)
    filled.update(values)
    letter = wording.letter(kind, language, filled)
    files: dict[str, bytes] = {f"{kind}.txt": plain_text(out, letter)}
    for mail in drafts(out, letter, attached or {}):
        files[f"{kind}-{mail.name}"] = mail.data
    return ShopLetter(out.shop.id, kind, letter, files)


def asked_on(moment: datetime, language: str) -> str:
    """Return a day in the words of a language."""
    return day_in_words(moment.date(), language)


def bulleted(texts: Sequence[str]) -> str:
    """Return texts as a list of dashes that begins on a line of its own; '' where there is none.

    The template has the blank right behind its heading, so that both go when nothing is said.

    >>> bulleted(["one", "two"]), bulleted([])
    ('\\n- one\\n- two', '')
    """
    return "".join(f"\n- {text}" for text in texts)
