"""Tidying typed text, and the two ways a reader speaks up: ``Wrong`` and ``Notes``."""

from __future__ import annotations

import re
from decimal import Decimal

from rfq.problems import Severity

NUM = r"(?:\d+(?:\.\d+)?|\.\d+)"  # an unsigned number, decimal point


class Wrong(Exception):
    """The text is of this kind and wrong; carries the problem's code and sentence."""

    def __init__(self, code: str, message: str) -> None:
        super().__init__(message)
        self.code = code
        self.message = message


class Notes:
    """Problems that leave the value whole, in the order found."""

    def __init__(self) -> None:
        self.found: list[tuple[str, str, Severity]] = []

    def add(self, code: str, message: str, severity: Severity = Severity.NOTE) -> None:
        """Keep one more."""
        self.found.append((code, message, severity))


def dec(text: str) -> Decimal:
    """The Decimal of a typed number with an optional sign and blanks.

    >>> dec("+ 0.05"), dec("-.2")
    (Decimal('0.05'), Decimal('-0.2'))
    """
    return Decimal(text.replace(" ", ""))


def clip(text: str) -> str:
    """The text, shortened for a sentence."""
    return text if len(text) <= 60 else text[:57] + "..."


_SAME = str.maketrans(
    {
        "⌀": "Ø", "ø": "Ø", "Φ": "Ø", "φ": "Ø", "∅": "Ø", "ϕ": "Ø",
        "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-",
        "×": "x", "✕": "x", "∗": "*", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\t": " ",
        "º": "°", "′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"',
        "⟂": "⟂", "⊥": "⟂", "∥": "∥", "∠": "∠", "◯": "○", "⊕": "⌖",
    }
)  # fmt: skip
_MODIFIERS = {"Ⓔ": "(E)", "Ⓜ": "(M)", "Ⓛ": "(L)", "Ⓟ": "(P)", "Ⓕ": "(F)"}


def tidy(text: str) -> str:
    """One sign for each meaning, single blanks.

    >>> tidy("⌀25 +/- 0,05  Ⓔ")
    'Ø25 ± 0,05 (E)'
    """
    text = text.translate(_SAME)
    for sign, plain in _MODIFIERS.items():
        text = text.replace(sign, f" {plain} ")
    text = text.replace("+/-", "±").replace("+-", "±").replace("%%c", "Ø").replace("%%C", "Ø")
    return " ".join(text.split())


def decimal_points(text: str, original: str) -> str:
    """Commas between digits are decimal signs; a text with both kinds in one number is refused."""
    if re.search(r"\d[.,]\d+[.,]\d", text):
        raise Wrong(
            "K013",
            f"'{original}' mixes decimal signs in one number; write 1234.5 or 1234,5.",
        )
    return re.sub(r"(?<=\d),(?=\d)|(?<![\d\w]),(?=\d)", ".", text)
