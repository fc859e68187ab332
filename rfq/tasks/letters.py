"""Letters to shops: filled in, looked through for leaks, kept as written. None is sent by us."""

from __future__ import annotations

import getpass
import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Final

from rfq.documents.leaks import forbidden_words, leak_scan
from rfq.documents.letter import ShopLetter, shop_letter
from rfq.documents.outgoing import outgoing
from rfq.documents.wording import Wording, load_wording
from rfq.model.comparison import Comparison
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Problem
from rfq.store.save import Changes
from rfq.tasks.done import Stopped
from rfq.tasks.open import Opened

_FIGURE: Final = re.compile(r"\d+[.,]\d+")


def wording_of(here: Opened) -> Wording:
    """Return the texts of letters, the project's own in place of ours.

    Raises:
        Stopped: a text is wrong; located.
    """
    reading = load_wording(here.folder)
    if reading.value is None:
        raise Stopped(reading.problems)
    return reading.value


def letter_to(
    here: Opened,
    request: Request,
    round_: int,
    shop: str,
    kind: str,
    values: Mapping[str, str],
    *,
    wording: Wording | None = None,
    comparison: Comparison | None = None,
    allowed: Iterable[str] = (),
    attached: Mapping[str, bytes] | None = None,
    answer_by: datetime | None = None,
) -> ShopLetter:
    """Return a letter to a shop, after a look for what must not leave.

    Args:
        here: the project. request, round_: what it is about. shop: id. kind: see ``wording``.
        values: of the kind's own blanks.
        comparison: where given, no other shop's figure and no should-cost may stand in it.
        allowed: figures that the user ticked to be said.
        attached: files that go with it.
    Raises:
        Stopped: the letter would give something away; nothing is written.
    """
    project = here.project
    out = outgoing(project, request, project.shops[shop], round_)
    made = shop_letter(
        out, wording or wording_of(here), kind, values, attached=attached, answer_by=answer_by
    )
    words = list(forbidden_words(project, request, shop, _of_this_machine(here.folder)))
    if comparison is not None:
        secret = forbidden_figures(project, comparison, shop, allowed)
        words += figures_in(made, attached or {}) & set(secret)
    problems = leak_scan({**made.files, **(attached or {})}, words)
    if problems:
        raise Stopped(problems)
    return made


def forbidden_figures(
    project: Project, comparison: Comparison, shop: str, allowed: Iterable[str] = ()
) -> tuple[str, ...]:
    """Return other shops' figures and our should-cost, as a letter might print them.

    Figures that the shop gave itself, or that the user ticked, are no secret from it.
    """
    secret: set[str] = set()
    own: set[str] = set(allowed)
    for line in comparison.lines:
        if line.should_cost is not None:
            for amount in (line.should_cost.low, line.should_cost.middle, line.should_cost.high):
                secret |= _printed(amount)
        for cell in line.prices:
            figures = own if cell.shop == shop else secret
            if cell.quoted is not None:
                figures |= _printed(cell.quoted.amount)
            if cell.comparable is not None:
                figures |= _printed(cell.comparable)
    for quote in project.quotes:
        figures = own if quote.shop == shop else secret
        for price in quote.prices:
            for one in (price.each, price.printed, price.one_off):
                if one is not None:
                    figures |= _printed(one)
    return tuple(sorted(secret - own))


def figures_in(made: ShopLetter, attached: Mapping[str, bytes]) -> set[str]:
    """Return every figure with a decimal sign that a letter or its attachments say.

    A round of thousands of prices is compared with these, not each price with each file.
    """
    texts = [made.letter.subject, made.letter.body]
    texts += [data.decode("utf-8", "replace") for data in attached.values()]
    return {found for text in texts for found in _FIGURE.findall(text)}


def _printed(amount: Decimal) -> set[str]:
    """A figure as it may be written: two digits, or as given; with point and with comma."""
    texts = {f"{amount:.2f}", f"{amount.normalize():f}"}
    # A figure without a decimal sign, such as '25', is found everywhere by accident.
    return {form for text in texts if "." in text for form in (text, text.replace(".", ","))}


def keep_letter(change: Changes, home: str, made: ShopLetter) -> list[str]:
    """Plan to keep a letter's files below a folder; return their paths.

    Args:
        change: the change it belongs to. home: as 'requests/R/round-1/letters/targets'.
    """
    paths = []
    for name, data in made.files.items():
        path = f"{home}/{made.shop}/{name}"
        change.keep(path, data)
        paths.append(path)
    return paths


def free_home(here: Opened, base: str) -> str:
    """Return a folder for letters that is not there yet: letters once written stay as they are."""
    home, count = base, 1
    while (here.folder / home).exists():
        count += 1
        home = f"{base}-{count}"
    return home


def _of_this_machine(folder: Path) -> tuple[str, ...]:
    home = str(folder.resolve())
    try:
        login = getpass.getuser()
    except (OSError, KeyError):
        login = ""
    # A short login name such as 'ana' stands in ordinary words and in addresses of ours.
    return tuple(word for word in (home, login if len(login) > 5 else "") if word)


def stop(code: str, message: str, subject: str = "") -> Stopped:
    """Return a Stopped of one problem, to be raised."""
    return Stopped((Problem(code, message, subject=subject),))
