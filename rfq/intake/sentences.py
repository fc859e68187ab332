"""Running text to sentences and clauses."""

from __future__ import annotations

import re

IGNORE = re.IGNORECASE


def sentences_of(text: str) -> list[str]:
    """Return the sentences of a text."""
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


def clauses_of(sentence: str) -> list[str]:
    """Return the clauses of a sentence."""
    return [
        part.strip()
        for part in re.split(
            r",\s+|\s+(?:und|and|et|e|y|i)\s+(?=[^\W\d_]{4,}\w*(?:kosten|ing|age)?\b)", sentence
        )
        if part.strip()
    ]
