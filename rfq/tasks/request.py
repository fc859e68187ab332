"""Make the packages of a request, and freeze it as sent."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from rfq.documents.package import PackageFiles, build_package
from rfq.documents.views import View
from rfq.documents.wording import Wording, load_wording
from rfq.model.frozen import content_sha256
from rfq.model.part import Part
from rfq.model.request import Override, Request, Round
from rfq.problems import Place, Problem, Severity, Unwritable
from rfq.store.journal import user_name
from rfq.store.names import frozen_key
from rfq.store.save import changes
from rfq.tasks.attachments import bytes_of
from rfq.tasks.check import findings
from rfq.tasks.done import Done, Stopped
from rfq.tasks.measure import views_of
from rfq.tasks.open import Opened, moment_of, opened, request_of
from rfq.tasks.revisions import changes_of
from rfq.tasks.rounds import keep_parts_as_sent
from rfq.tasks.take_quote import open_round

Progress = Callable[[str], object]


@dataclass(frozen=True, slots=True)
class MadePackage:
    """One shop's package as written."""

    shop: str
    folder: Path
    zip: Path
    files: tuple[str, ...]


def make_packages(
    path: Path,
    *,
    shops: tuple[str, ...] = (),
    request_id: str = "",
    override: str = "",
    freeze: bool = True,
    as_of: str = "",
    progress: Progress | None = None,
) -> Done[tuple[MadePackage, ...]]:
    """Make one package folder and zip for each shop; freeze the request as sent.

    Args:
        path: the project.
        shops: only these; empty: all asked.
        request_id: '' for the newest request.
        override: reason to go on in spite of findings that stop; it is recorded in the request.
        freeze: False only writes a preview, outside of what counts as sent.
        as_of: the day the packages are made; '' for today.
        progress: told about each shop.
    Raises:
        Stopped: findings stop the request and no override is given; or it changed since it was
            sent.
        Unwritable: nothing half-written is left.
    """
    here = opened(path)
    request = request_of(here.project, request_id)
    wanted = _wanted(request, shops)
    problems = findings(here, request.id, fast=True, as_of=as_of)
    stops = tuple(problem for problem in problems if problem.severity is Severity.STOP)
    if stops and not override:
        raise Stopped(stops)
    moment = moment_of(here.project, as_of)
    digest = content_sha256(request, here.project.parts)
    if request.content_sha256 and request.content_sha256 != digest:
        raise Stopped((_changed_since_sent(here, request),))
    if stops:
        request = _recorded(here, request, stops, override)
    built: dict[str, PackageFiles] = {}
    notes: list[Problem] = [
        problem for problem in problems if problem.severity is not Severity.STOP
    ]
    sent_at = request.sent_at or moment
    request = request.model_copy(update={"content_sha256": digest})
    wording = load_wording(here.folder)
    if wording.value is None:
        raise Stopped(wording.problems)
    # Every model is measured once, not once a shop.
    views = views_of(here, _parts(here, (line.part for line in request.lines)))
    for shop in wanted:
        if progress is not None:
            progress(f"package for {shop}")
        package = _build(here, request, shop, sent_at, wording.value, views, progress)
        if not package.ok:
            raise Stopped(package.problems)
        notes += package.problems
        built[shop] = package
    if not freeze:
        return Done(_preview(here, request, built), tuple(notes))
    written = _freeze(here, request, built, sent_at)
    return Done(written, tuple(notes))


def package_name(request: Request, round_: int) -> str:
    """Return the name of a package's folder and zip: request, revision, round."""
    return f"{request.id}_rev{request.revision}_round{round_}"


def _wanted(request: Request, shops: tuple[str, ...]) -> tuple[str, ...]:
    asked = tuple(one.shop for one in request.asked)
    for shop in shops:
        if shop not in asked:
            said = ", ".join(asked) or "none"
            raise Stopped(
                (Problem("P110", f"shop '{shop}' is not asked in this request; asked: {said}."),)
            )
    return shops or asked


def _changed_since_sent(here: Opened, request: Request) -> Problem:
    file = here.project.files.get(f"request:{request.id}", "")
    return Problem(
        "P111",
        f"request {request.id}, revision {request.revision}, or one of its parts changed since it "
        "was sent; make a new revision of it (rfq rounds revise), so that shops see what changed.",
        Place(file),
    )


def _recorded(here: Opened, request: Request, stops: tuple[Problem, ...], reason: str) -> Request:
    day = moment_of(here.project).date()
    who = user_name(here.folder)
    new = tuple(
        Override(code=problem.code, subject=problem.subject, reason=reason, by=who, on=day)
        for problem in stops
    )
    return request.model_copy(update={"overrides": (*request.overrides, *dict.fromkeys(new))})


def _build(
    here: Opened,
    request: Request,
    shop: str,
    at: datetime,
    wording: Wording,
    views: Mapping[str, Sequence[View]],
    progress: Progress | None,
) -> PackageFiles:
    project = here.project
    parts = _parts(here, request.parts_of(shop))

    def page(number: int) -> None:
        if progress is not None:
            progress(f"package for {shop}: page {number}")

    return build_package(
        project,
        request,
        shop,
        max(1, open_round(project, request)),
        files=bytes_of(here.folder, parts, project.settings.logo),
        now=at,
        wording=wording,
        views={part.number: views[part.number] for part in parts if part.number in views},
        changes=changes_of(here, request, shop),
        forbidden=(str(here.folder.resolve()),),
        progress=page,
    )


def _parts(here: Opened, numbers: Iterable[str]) -> tuple[Part, ...]:
    return tuple(here.project.parts[one] for one in numbers if one in here.project.parts)


def _freeze(
    here: Opened, request: Request, built: Mapping[str, PackageFiles], at: datetime
) -> tuple[MadePackage, ...]:
    project = here.project
    number = open_round(project, request)
    name = package_name(request, number)
    sent = request.model_copy(update={"state": "sent", "sent_at": at})
    made = []
    with changes(
        here.folder, "packages made", project=project, about=f"request:{request.id}",
        detail=", ".join(built), at=at,
    ) as change:  # fmt: skip
        for shop, package in built.items():
            home = f"requests/{request.id}/sent/{shop}/{name}"
            for file, data in package.files.items():
                change.keep(f"{home}/{file}", data)
            target = here.folder / home
            made.append(MadePackage(shop, target, target / package.zip_name, tuple(package.files)))
        if sent != request or request.state != "sent":
            change.put(sent)
        if frozen_key(sent) not in project.files:
            change.put(sent, key=frozen_key(sent))
        keep_parts_as_sent(change, here, sent)
        this = next((one for one in project.rounds_of(request.id) if one.number == number), None)
        if this is not None and this.closed is None and this.revision != request.revision:
            # The round goes on with the new revision; answers to the old one are marked by it.
            digest = request.content_sha256
            change.put(
                this.model_copy(update={"revision": request.revision, "request_sha256": digest})
            )
        if this is None and not project.rounds_of(request.id):
            change.put(
                Round(
                    request=request.id,
                    number=1,
                    revision=request.revision,
                    request_sha256=request.content_sha256,
                    asked=request.asked,
                    opened=at,
                    cut_off=request.answer_by,
                )
            )
    return tuple(made)


def _preview(
    here: Opened, request: Request, built: Mapping[str, PackageFiles]
) -> tuple[MadePackage, ...]:
    """Write packages to .rfq/preview, whole or not at all."""
    home = here.folder / ".rfq" / "preview"
    name = package_name(request, open_round(here.project, request))
    made = []
    for shop, package in built.items():
        target = home / shop / name
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            with tempfile.TemporaryDirectory(dir=target.parent) as scratch:
                for file, data in package.files.items():
                    (Path(scratch) / file).parent.mkdir(parents=True, exist_ok=True)
                    (Path(scratch) / file).write_bytes(data)
                if target.exists():
                    shutil.rmtree(target)
                shutil.copytree(scratch, target)
        except OSError as error:
            shutil.rmtree(target, ignore_errors=True)
            raise Unwritable(f"{target} cannot be written: {error.strerror}.") from error
        made.append(MadePackage(shop, target, target / package.zip_name, tuple(package.files)))
    return tuple(made)
