"""Whether what is kept is what was received and sent: every hash on record against the disk."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from rfq.model.part import FileRef
from rfq.model.project import Project
from rfq.problems import Place, Problem, RfqError, Severity
from rfq.store import sent
from rfq.store.files import sha256_of


def verify_all(folder: Path, project: Project) -> tuple[Problem, ...]:
    """Return a problem for every file on record that is missing or differs by as much as a bit.

    Looked at: replies (hashes in drafts and quotes), what was sent or written for others (lists
    of hashes and manifests), drawings, models and other files of parts, acknowledgements, first
    article sheets; and files among replies and sent ones that no record and no list names.
    """
    problems: list[Problem] = []
    named: set[str] = set()
    for reference, subject, severity in _references(project):
        if reference.path in named or not reference.sha256:
            named.add(reference.path)
            continue
        named.add(reference.path)
        problems.extend(_one(folder, reference.path, reference.sha256, subject, severity))
    for hashes in sent.lists(folder):
        problems.extend(_listed(folder, hashes, named))
    problems.extend(_unnamed(folder, named))
    return tuple(problems)


def _references(project: Project) -> Iterator[tuple[FileRef, str, Severity]]:
    for quote in project.quotes:
        subject = f"quote:{quote.request}/{quote.round}/{quote.shop}-{quote.number}"
        yield quote.source, subject, Severity.STOP
    for draft in project.drafts:
        yield FileRef(path=draft.file, sha256=draft.sha256 or ""), "draft", Severity.STOP
    for order in project.orders:
        if order.acknowledgement:
            yield order.acknowledgement, f"order:{order.request}/{order.id}", Severity.STOP
    for article in project.first_articles:
        if article.source:
            subject = f"first-article:{article.request}/{article.id}"
            yield article.source, subject, Severity.STOP
    for part in project.parts.values():
        for reference in (part.drawing, part.model, *part.files):
            if reference:
                # A drawing may be replaced on purpose; whoever does it confirms it.
                yield reference, f"part:{part.number}", Severity.ASK


def _one(
    folder: Path, path: str, sha256: str, subject: str, severity: Severity
) -> Iterator[Problem]:
    try:
        here = sha256_of(folder / path)
    except RfqError:
        yield Problem(
            "S002",
            f"the file is missing; it had the SHA-256 {sha256[:12]}….",
            Place(path),
            severity,
            subject=subject,
        )
        return
    if here != sha256:
        yield Problem(
            "S001",
            f"the file is not what it was: its SHA-256 is {here[:12]}…, on record is "
            f"{sha256[:12]}…; bring back the original.",
            Place(path),
            severity,
            subject=subject,
        )


def _listed(folder: Path, hashes: Path, named: set[str]) -> Iterator[Problem]:
    path = hashes.relative_to(folder).as_posix()
    files = sent.listed(hashes)
    if files is None or hashes.suffix == sent.ENDING:
        named.add(path)
    if files is None:
        yield Problem(
            "S003",
            "this list of hashes cannot be read, so nothing vouches for what was sent; "
            "bring back the original.",
            Place(path),
        )
        return
    for name, sha256 in files.items():
        inner = (hashes.parent / name).relative_to(folder).as_posix()
        if inner not in named:
            named.add(inner)
            yield from _one(folder, inner, sha256, "", Severity.STOP)


def _unnamed(folder: Path, named: set[str]) -> Iterator[Problem]:
    for pattern in ("*/sent/*/**/*", "*/round-*/replies/*"):
        for file in sorted((folder / "requests").glob(pattern)):
            path = file.relative_to(folder).as_posix()
            if file.is_file() and path not in named and not file.name.startswith("."):
                yield Problem(
                    "S004",
                    "no record names this file, so nothing vouches for it.",
                    Place(path),
                    Severity.NOTE,
                )
