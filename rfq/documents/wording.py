"""Wording that people may change: plain text files with named blanks, checked when loaded.

A file is ``<kind>.<language>.txt`` in the shipped ``templates/``; one of the same name in the
project's own ``templates/`` takes its place. A letter begins with ``Subject: ...`` and an empty
line. A blank is a name in braces, ``{answer_by}``; a line whose blanks are all empty is left
out, so a letter needs no conditions. A new letter is one entry in ``KINDS`` and its files.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Final

from rfq.problems import Place, Problem, Reading, Severity
from rfq.shipped import shipped

_BLANK: Final = re.compile(r"\{([^{}\n]*)\}")
_NAME: Final = re.compile(r"^(?P<kind>[a-z][a-z-]*)\.(?P<language>[a-z]{2})\.txt$")

_ABOUT_REQUEST: Final = frozenset(
    {
        "company", "request", "revision", "round", "title", "shop",
        "contact", "sender", "phone", "email", "answer_by", "answer_day",
    }
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Kind:
    """What a kind of text may and must name, and whether it has a subject."""

    blanks: frozenset[str]
    needed: frozenset[str] = frozenset()
    subject: bool = True


KINDS: Final[dict[str, Kind]] = {
    "request": Kind(
        _ABOUT_REQUEST
        | frozenset(
            [
                "parts",
                "quantities",
                "materials",
                "finishes",
                "need_by",
                "delivery",
                "files",
                "argument",
                "changes",
                "part_count",
            ]
        ),
        frozenset({"request", "answer_by"}),
    ),
    "reminder": Kind(_ABOUT_REQUEST | {"asked_on", "parts"}, frozenset({"request", "answer_by"})),
    "cover": Kind(
        _ABOUT_REQUEST
        | frozenset(
            [
                "validity_days",
                "currency",
                "delivery",
                "payment",
                "first_article_answer_days",
                "decision_rule",
                "sampling",
                "packing",
                "marking",
                "tooling",
                "confidentiality",
                "repeat_months",
                "rule_set",
                "datum_system",
                "general_tolerance",
                "general_roughness",
                "edges",
            ]
        ),
        subject=False,
    ),
    "cautions": Kind(frozenset(), subject=False),
    "targets": Kind(
        _ABOUT_REQUEST | {"points", "targets", "last_round", "caution"}, frozenset({"request"})
    ),
    "question": Kind(
        _ABOUT_REQUEST | {"part", "callout", "question"}, frozenset({"request", "question"})
    ),
    "clarification": Kind(
        _ABOUT_REQUEST | {"part", "callout", "question", "answer", "new_revision"},
        frozenset({"request", "answer"}),
    ),
    "award": Kind(
        _ABOUT_REQUEST
        | frozenset(
            ["order", "lines", "total", "delivery", "payment", "first_article", "reply_by"]
        ),
        frozenset({"request", "lines"}),
    ),
    "decline": Kind(_ABOUT_REQUEST | {"parts"}, frozenset({"request"})),
    "first-article": Kind(
        _ABOUT_REQUEST
        | {"part", "order", "passed", "failed", "undecided", "disposition", "reason", "released"},
        frozenset({"request", "part"}),
    ),
}


@dataclass(frozen=True, slots=True)
class Letter:
    """A letter ready to send: one line of subject, and its text."""

    subject: str
    body: str


@dataclass(frozen=True, slots=True)
class Template:
    """A text with blanks, as loaded."""

    kind: str
    language: str
    text: str

    def fill(self, values: Mapping[str, str]) -> str:
        """Return the text with its blanks filled; lines whose blanks are all empty left out."""
        lines = []
        for line in self.text.splitlines():
            names = _BLANK.findall(line)
            if names and not any(values.get(name, "").strip() for name in names):
                continue
            lines.append(_BLANK.sub(lambda found: values.get(found[1], ""), line).rstrip())
        return re.sub(r"\n{3,}", "\n\n", "\n".join(lines)).strip() + "\n"


@dataclass(frozen=True, slots=True)
class Wording:
    """All texts by kind and language."""

    templates: Mapping[tuple[str, str], Template] = field(default_factory=dict)

    def has(self, kind: str, language: str) -> bool:
        """Return whether there is a text of that kind in that language."""
        return (kind, language) in self.templates

    def text(self, kind: str, language: str, values: Mapping[str, str]) -> str:
        """Return a text filled in, in English where the language has none."""
        template = self.templates.get((kind, language)) or self.templates[kind, "en"]
        return template.fill(values)

    def letter(self, kind: str, language: str, values: Mapping[str, str]) -> Letter:
        """Return a letter filled in, in English where the language has none."""
        text = self.text(kind, language, values)
        head, _, body = text.partition("\n")
        return Letter(_one_line(head.removeprefix("Subject:")), body.strip() + "\n")


def load_wording(project: Path | None = None) -> Reading[Wording]:
    """Return the shipped texts, with those of the project's ``templates/`` in their place.

    Problems: D001 a file that is not UTF-8 text; D002 a name that is no kind of text here
    (note); D003 a blank that the kind does not have; D004 a needed blank is missing;
    D005 a letter without 'Subject:'.
    """
    templates: dict[tuple[str, str], Template] = {}
    problems: list[Problem] = []
    folders = [(shipped("templates"), "templates")]
    if project is not None and (project / "templates").is_dir():
        folders.append((project / "templates", "templates"))
    for folder, shown in folders:
        for path in sorted(folder.glob("*.txt")):
            place = f"{shown}/{path.name}"
            try:
                text = path.read_text(encoding="utf-8-sig")
            except (UnicodeDecodeError, OSError):
                problems.append(
                    Problem("D001", "this is no UTF-8 text; save it as UTF-8.", Place(place))
                )
                continue
            template, found = check_template(path.name, text, place)
            problems += found
            if template is not None:
                templates[template.kind, template.language] = template
    if any(problem.severity is Severity.STOP for problem in problems):
        return Reading(None, tuple(problems))
    return Reading(Wording(templates), tuple(problems))


def check_template(name: str, text: str, place: str) -> tuple[Template | None, list[Problem]]:
    """Return one template, or None with what is wrong with it; see ``load_wording``."""
    found = _NAME.match(name)
    kind = KINDS.get(found["kind"]) if found else None
    if found is None or kind is None:
        known = ", ".join(sorted(KINDS))
        note = f"'{name}' is no text we use; names are kind.language.txt with kind {known}."
        return None, [Problem("D002", note, Place(place), Severity.NOTE)]
    problems = []
    seen: set[str] = set()
    for number, line in enumerate(text.splitlines(), 1):
        for blank in _BLANK.findall(line):
            seen.add(blank)
            if blank not in kind.blanks:
                may = ", ".join(sorted(kind.blanks)) or "none"
                problems.append(
                    Problem(
                        "D003", f"{{{blank}}} is no blank of this text; it has {may}.",
                        Place(place, line=number),
                    )
                )  # fmt: skip
    for blank in sorted(kind.needed - seen):
        problems.append(
            Problem("D004", f"the text never says {{{blank}}}; the shop needs it.", Place(place))
        )
    if kind.subject and not text.startswith("Subject:"):
        problems.append(
            Problem("D005", "a letter begins with a line 'Subject: ...'.", Place(place, line=1))
        )
    if problems:
        return None, problems
    return Template(found["kind"], found["language"], text), []


# --- days in words ------------------------------------------------------------------------

_MONTHS: Final = {
    "en": [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ],
    "de": [
        "Januar",
        "Februar",
        "März",
        "April",
        "Mai",
        "Juni",
        "Juli",
        "August",
        "September",
        "Oktober",
        "November",
        "Dezember",
    ],
}
_DAYS: Final = {
    "en": ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"],
    "de": ["Montag", "Dienstag", "Mittwoch", "Donnerstag", "Freitag", "Samstag", "Sonntag"],
}


def day_in_words(day: date, language: str = "en") -> str:
    """Return a day with its weekday, in figures no country reads another way.

    >>> day_in_words(date(2026, 7, 3)), day_in_words(date(2026, 7, 3), "de")
    ('Friday, 3 July 2026', 'Freitag, 3. Juli 2026')
    """
    if language not in _MONTHS:
        return day.isoformat()
    dot = "." if language == "de" else ""
    return (
        f"{_DAYS[language][day.weekday()]}, {day.day}{dot} "
        f"{_MONTHS[language][day.month - 1]} {day.year}"
    )


def moment_in_words(moment: datetime, language: str = "en") -> str:
    """Return a moment with its hour and its distance from UTC.

    >>> from datetime import timedelta, timezone
    >>> moment_in_words(datetime(2026, 7, 3, 12, 0, tzinfo=timezone(timedelta(hours=2))))
    'Friday, 3 July 2026, 12:00 (UTC+02:00)'
    """
    zone = moment.strftime("%z")
    shift = f" (UTC{zone[:3]}:{zone[3:5]})" if zone else ""
    return f"{day_in_words(moment.date(), language)}, {moment:%H:%M}{shift}"


def _one_line(text: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
