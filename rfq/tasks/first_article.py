"""First articles: the form to fill in, results read and judged, decided, told to the shop."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from rfq.documents.first_article_pdf import first_article_form_pdf, first_article_report
from rfq.documents.first_article_xlsx import first_article_form
from rfq.documents.leaks import forbidden_words, leak_scan
from rfq.documents.letter import ShopLetter, bulleted, words_for
from rfq.engine.first_article.verdicts import ArticleVerdict, CalloutVerdict, verdicts
from rfq.engine.first_article.what_to_do import LOADED
from rfq.intake.measured import read_measured
from rfq.model.award import FirstArticle, Order
from rfq.model.part import FileRef, Part
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Place, Problem, Severity, Unreadable
from rfq.store.files import read_bounded, sha256_bytes
from rfq.store.journal import user_name
from rfq.store.originals import safe_name
from rfq.store.save import changes
from rfq.tasks.done import Done, Stopped
from rfq.tasks.letters import free_home, keep_letter, letter_to, stop, wording_of
from rfq.tasks.open import Opened, moment_of, opened, request_of

Disposition = Literal["accept", "concession", "rework", "replace"]
_MOST_BYTES = 100_000_000


@dataclass(frozen=True, slots=True)
class Judged:
    """A first article with its verdicts."""

    article: FirstArticle
    verdict: ArticleVerdict


def make_form(
    path: Path, part_number: str, *, pieces: int = 1, request_id: str = ""
) -> Done[tuple[Path, ...]]:
    """Write the report form of a part (XLSX and PDF), numbered like the package.

    Raises:
        Stopped: no such part, or the form would give something away.
    """
    here = opened(path)
    project, request = here.project, request_of(here.project, request_id)
    part = _part(project, part_number)
    order = _order(project, request, part_number)
    moment = moment_of(project)
    company = project.settings.company or project.settings.name
    paper = project.shops[order.shop].paper if order and order.shop in project.shops else "A4"
    files = {
        "form.xlsx": first_article_form(
            part, request, order, moment, pieces=pieces, company=company
        ),
        "form.pdf": first_article_form_pdf(
            part, request, order, moment, pieces=pieces, company=company, paper=paper
        ),
    }
    found = leak_scan(files, forbidden_words(project, request, order.shop if order else ""))
    if found:
        raise Stopped(found)
    home = free_home(here, f"requests/{request.id}/first-articles/{part.number}/form")
    with changes(
        here.folder, "first article form made", project=project, at=moment,
        about=f"part:{part.number}",
    ) as change:  # fmt: skip
        for name, data in files.items():
            change.keep(f"{home}/{part.number}_{part.revision}_first-article-{name}", data)
    made = tuple(one for one in change.written if one.suffix in (".xlsx", ".pdf"))
    return Done(made, (), change.written)


def take_first_article(
    path: Path,
    part_number: str,
    file: Path,
    *,
    award: str = "",
    piece: int | None = None,
    request_id: str = "",
    store: bool = True,
) -> Done[Judged | None]:
    """Read measured values, judge them, and keep both.

    Args:
        path: the project. part_number: whose. file: the filled-in form, or any such table.
        award: its id; '' for the newest with the part.
        piece: the file is of this piece, where it does not say so itself.
        store: False only judges.
    Problems: those of ``read_measured``; F201 a failed characteristic (stop is for the engineer,
        so ask); F202 an undecided one (ask); F203 a missing one (ask).
    Raises:
        Stopped: no such part.
    """
    here = opened(path)
    project, request = here.project, request_of(here.project, request_id)
    part = _part(project, part_number)
    try:
        data = read_bounded(file, _MOST_BYTES)
    except OSError as error:
        raise Unreadable(f"{file} cannot be read: {error.strerror or error}.") from error
    reading = read_measured(file, part)
    if reading.value is None:
        return Done(None, reading.problems)
    results = reading.value
    if piece is not None:
        results = tuple(one.model_copy(update={"piece": piece}) for one in results)
    order = _order(project, request, part_number, award)
    moment = moment_of(project)
    earlier = sum(one.part == part.number for one in project.first_articles)
    article = FirstArticle(
        id=f"{part.number.replace(' ', '-').replace('+', '-')}-{earlier + 1}",
        request=request.id,
        award=order.award if order else award,
        part=part.number,
        revision=part.revision,
        shop=order.shop if order else "",
        received=moment.date(),
        source=FileRef(path="", sha256=sha256_bytes(data)),
        results=results,
    )
    judged = Judged(article, verdicts(part, request, results))
    problems = (*_uncounted(reading.problems), *_findings(judged, part))
    if not store:
        return Done(judged, problems)
    home = f"requests/{request.id}/first-articles/{article.id}"
    kept = f"{home}/{safe_name(file.name)}"
    article = article.model_copy(update={"source": FileRef(path=kept, sha256=sha256_bytes(data))})
    judged = Judged(article, judged.verdict)
    report = first_article_report(part, request, order, article, judged.verdict, moment)
    with changes(
        here.folder, "first article read", project=project, file=kept,
        sha256=sha256_bytes(data), at=moment,
        about=f"first-article:{request.id}/{article.id}", detail=judged.verdict.advice,
    ) as change:  # fmt: skip
        change.keep(kept, data)
        change.keep(f"{home}/results.pdf", report)
        change.put(article)
    return Done(judged, problems, change.written)


def judge_stored(here: Opened, article: FirstArticle) -> Judged:
    """Return a stored first article with its verdicts."""
    project = here.project
    return Judged(
        article,
        verdicts(project.parts[article.part], project.requests.get(article.request),
                 article.results),
    )  # fmt: skip


def decide_first_article(
    path: Path,
    article_id: str,
    disposition: Disposition,
    reason: str,
    *,
    by: str = "",
    release: bool = False,
) -> Done[tuple[Judged, ShopLetter | None]]:
    """Record the engineer's decision and write the letter to the shop.

    Args:
        path: the project. article_id: of the first article.
        disposition: accept, concession, rework or replace. reason: the engineer's.
        by: the engineer; '' for the user. release: the lot may be made.
    Raises:
        Stopped: no such first article; no reason; a lot released on rework or replacement; an
            accept although a characteristic failed (that is a concession).
    """
    here = opened(path)
    project = here.project
    article = next((one for one in project.first_articles if one.id == article_id), None)
    if article is None:
        known = ", ".join(one.id for one in project.first_articles) or "none yet"
        raise stop("F210", f"there is no first article '{article_id}'; there are {known}.")
    if not reason.strip():
        raise stop("F211", "say why; the decision is the engineer's and stays on record.")
    if release and disposition in ("rework", "replace"):
        raise stop("F212", f"a lot cannot be released while the first article is to {disposition}.")
    judged = judge_stored(here, article)
    if disposition == "accept" and judged.verdict.of("failed"):
        numbers = ", ".join(one.asked.callout.number for one in judged.verdict.of("failed"))
        raise stop(
            "F213", f"characteristic {numbers} does not conform: taking it anyway is a concession."
        )
    part, request = project.parts[article.part], project.requests[article.request]
    new = article.model_copy(
        update={
            "disposition": disposition,
            "reason": reason.strip(),
            "by": by or user_name(here.folder),
            "released": release,
        }
    )
    judged = Judged(new, judged.verdict)
    order = _order(project, request, article.part, article.award)
    letter = _letter(here, request, part, order, judged) if new.shop else None
    home = f"requests/{request.id}/first-articles/{article.id}"
    moment = moment_of(project)
    with changes(
        here.folder, f"first article: {disposition}", project=project, at=moment,
        about=f"first-article:{request.id}/{article.id}",
        detail=f"{reason}{'; lot released' if release else ''}",
    ) as change:  # fmt: skip
        change.put(new)
        change.keep(
            f"{free_home(here, home + '/decision')}/decision.pdf",
            first_article_report(part, request, order, new, judged.verdict, moment),
        )
        if letter is not None:
            keep_letter(change, free_home(here, f"{home}/letter"), letter)
    notes: tuple[Problem, ...] = ()
    if disposition == "concession" and part.loaded:
        notes = (Problem("F214", LOADED, Place(), Severity.ASK, subject=part.number),)
    return Done((judged, letter), notes, change.written)


def _letter(
    here: Opened, request: Request, part: Part, order: Order | None, judged: Judged
) -> ShopLetter:
    article, verdict = judged.article, judged.verdict
    wording = wording_of(here)
    language = here.project.shops[article.shop].language
    words = words_for(language if wording.has("first-article", language) else "en")
    undecided = (*verdict.of("undecided"), *verdict.of("missing"))
    values = {
        "part": f"{part.number} {part.revision}",
        "order": order.id if order else "",
        "passed": ", ".join(one.asked.callout.number for one in verdict.of("passed")),
        "failed": bulleted([_said(one) for one in verdict.of("failed")]),
        "undecided": bulleted([_said(one) for one in undecided]),
        "disposition": words[article.disposition] if article.disposition else "",
        "reason": article.reason,
        "released": words["released" if article.released else "held"],
    }
    rounds = here.project.rounds_of(request.id)
    return letter_to(
        here, request, rounds[-1].number if rounds else 1, article.shop, "first-article", values,
        wording=wording,
    )  # fmt: skip


def _said(one: CalloutVerdict) -> str:
    """A characteristic with its values, in figures that need no language."""
    callout = one.asked.callout
    limits = one.asked.limits
    shown = ""
    if limits is not None:
        high = "" if limits.upper_mm.is_infinite() else str(limits.upper_mm)
        shown = f" [{limits.lower_mm} .. {high} {one.asked.unit}]"
    values = [
        f"{found.result.value if found.result.value is not None else found.result.attribute}"
        + (f" (U {found.uncertainty:f})" if found.uncertainty is not None else "")
        for found in one.results
        if found.state != "passed"
    ]
    return f"{callout.number} {callout.text}{shown}: {', '.join(values) or one.missing}"


def _findings(judged: Judged, part: Part) -> tuple[Problem, ...]:
    codes = {"failed": "F201", "undecided": "F202", "missing": "F203"}
    found = []
    for one in judged.verdict.callouts:
        state = one.state
        if state == "passed":
            continue
        worst = next((r for r in one.results if r.state == state), None)
        words = worst.words if worst else one.missing
        to_do = worst.to_do if worst else "ask for the missing results"
        found.append(
            Problem(
                codes[state],
                f"{part.number}, characteristic {one.asked.callout.number} "
                f"({one.asked.callout.text}): {words}.",
                Place(worst.result.place if worst else ""),
                Severity.ASK,
                right=to_do,
                subject=part.number,
            )
        )
    return tuple(found)


def _uncounted(problems: tuple[Problem, ...]) -> tuple[Problem, ...]:
    """Problems of reading, less those our own verdicts say better (R083: no value)."""
    return tuple(problem for problem in problems if problem.code != "R083")


def _part(project: Project, number: str) -> Part:
    part = project.parts.get(number)
    if part is None:
        known = ", ".join(sorted(project.parts)) or "none yet"
        raise stop("P106", f"there is no part '{number}'; parts: {known}.")
    return part


def _order(project: Project, request: Request, part: str, award: str = "") -> Order | None:
    found = [
        order
        for order in project.orders
        if order.request == request.id
        and any(line.part == part for line in order.lines)
        and award in ("", order.award)
    ]
    return found[-1] if found else None


def verdict_json(judged: Judged) -> dict[str, Any]:
    """Return a first article's verdicts as plain values."""
    verdict = judged.verdict
    return {
        "id": judged.article.id,
        "part": verdict.part,
        "pieces": list(verdict.pieces),
        "rule": verdict.rule,
        "advice": verdict.advice,
        "disposition": judged.article.disposition,
        "characteristics": [
            {
                "callout": one.asked.callout.number,
                "text": one.asked.callout.text,
                "state": one.state,
                "missing": one.missing,
                "results": [
                    {
                        "piece": found.result.piece,
                        "instance": found.result.instance,
                        "value": None if found.result.value is None else str(found.result.value),
                        "attribute": found.result.attribute,
                        "plain": found.plain,
                        "proof": found.proof,
                        "uncertainty": None
                        if found.uncertainty is None
                        else str(found.uncertainty),
                        "assumed": found.assumed,
                        "words": found.words,
                        "to_do": found.to_do,
                        "place": found.result.place,
                    }
                    for found in one.results
                ],
            }
            for one in verdict.callouts
        ],
    }
