"""One shop's package: every file it gets, as bytes; a task writes them.

Nothing is read or written here. Drawings and models come as bytes, the moment comes as an
argument, so the same input gives the same bytes, down to the zip.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Final

from rfq.documents import mail
from rfq.documents.changes import Changes
from rfq.documents.drawings import flat_name, look_at_drawing
from rfq.documents.fonts import unprintable
from rfq.documents.leaks import forbidden_words, leak_scan
from rfq.documents.outgoing import Outgoing, outgoing
from rfq.documents.request_form import response_form
from rfq.documents.request_pdf import readable_image, request_pdf
from rfq.documents.request_ubl import request_ubl
from rfq.documents.request_xlsx import response_sheet
from rfq.documents.spreadsheet import steady_zip
from rfq.documents.views import View
from rfq.documents.wording import Wording
from rfq.model.part import FileRef, Part
from rfq.model.project import Project
from rfq.model.request import Request
from rfq.problems import Place, Problem, Severity

__all__ = ["PackageFiles", "build_package"]

MANIFEST: Final = "manifest.json"


@dataclass(frozen=True, slots=True)
class PackageFiles:
    """A package: files by name, the zip's name among them, and what was found on the way.

    ``files`` is empty where a problem stops the package.
    """

    files: Mapping[str, bytes] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    zip_name: str = ""
    mails: tuple[mail.Mail, ...] = ()

    @property
    def ok(self) -> bool:
        """Whether there is a package to write."""
        return bool(self.files)


def build_package(
    project: Project,
    request: Request,
    shop_id: str,
    round_: int,
    files: Mapping[str, bytes],
    now: datetime,
    wording: Wording,
    *,
    views: Mapping[str, Sequence[View]] | None = None,
    changes: Changes | None = None,
    forbidden: Sequence[str] = (),
    gate_bytes: int = mail.GATE_BYTES,
    progress: Callable[[int], None] | None = None,
) -> PackageFiles:
    """Return the package of one shop.

    Args:
        project: all records. request: what is asked. shop_id: of whom. round_: in which round.
        files: bytes of drawings, models and the logo by their path in the project.
        now: the moment written into every file. wording: texts.
        views: outlines by part number. changes: what this revision changed.
        forbidden: more words that must not leave: local paths, the user's name.
        gate_bytes: greatest size of one mail as sent. progress: called with PDF pages done.

    Problems: D010 to D015 and D019 of drawings and models, D016 signs no font prints, D017 logo,
    D018 a file no mail can carry, D020 a leak, D021 nothing asked of this shop, D022 no mail
    address, D023 no text in the shop's language.
    """
    shop = project.shops.get(shop_id)
    if shop is None:
        known = ", ".join(sorted(project.shops)) or "none"
        return _nothing(
            f"there is no shop '{shop_id}' in this project; there are {known}.", shop_id
        )
    out = outgoing(project, request, shop, round_)
    if not out.parts:
        return _nothing(
            f"nothing is asked of {shop_id} in {request.id}, round {round_}; name it under "
            "'asked' with its parts.",
            shop_id,
        )
    problems = [*_unprintable(out), *_shop(out, wording)]
    logo, found = _logo(out, files)
    problems += found
    attached, found = _attached(out, files)
    problems += found
    if any(problem.severity is Severity.STOP for problem in problems):
        return PackageFiles({}, tuple(problems))
    stem = f"{request.id}_rev{request.revision}_round{round_}"
    given: dict[str, bytes] = {
        f"{stem}_request.pdf": request_pdf(
            out, wording, now, logo=logo, views=views, changes=changes, progress=progress
        ),
        f"{stem}_response-sheet.xlsx": response_sheet(out, now),
        f"{stem}_response-form.pdf": response_form(out, now),
        f"{stem}_request.xml": request_ubl(out, now),
        **attached,
    }
    letter = mail.request_letter(out, wording, list(given))
    given[MANIFEST] = _manifest(out, now, given)
    mails = mail.drafts(out, letter, given, gate=gate_bytes)
    problems += _too_big(given, gate_bytes)
    zip_name = f"{stem}_{shop_id}.zip"
    everything = {
        **given,
        zip_name: steady_zip(given, now),
        "mail.txt": mail.plain_text(out, letter),
        **{one.name: one.data for one in mails},
    }
    words = forbidden_words(project, request, shop_id, forbidden)
    # The zip and the drafts only pack these again; a draft without files shows its head and text.
    (bare,) = mail.drafts(out, letter, {})
    own = {name: data for name, data in given.items() if name not in attached}
    leaks = _leaks({**own, "mail.txt": everything["mail.txt"], bare.name: bare.data,
                    zip_name: b""}, attached, words)  # fmt: skip
    problems += leaks
    if any(problem.severity is Severity.STOP for problem in leaks):
        return PackageFiles({}, tuple(problems))
    return PackageFiles(everything, tuple(problems), zip_name, mails)


def _nothing(message: str, subject: str) -> PackageFiles:
    return PackageFiles({}, (Problem("D021", message, subject=subject),))


def _unprintable(out: Outgoing) -> list[Problem]:
    problems = []
    texts = [("request", out.request.title), ("shop", out.shop.name)]
    texts += [(part.number, f"{part.name} {part.material} {part.shop_note}") for part in out.parts]
    for subject, text in texts:
        signs = unprintable(text)
        if signs:
            codes = ", ".join(f"U+{ord(sign):04X}" for sign in signs[:5])
            message = f"{subject}: no font here prints {codes}; a question mark stands there."
            problems.append(Problem("D016", message, severity=Severity.NOTE, subject=subject))
    return problems


def _shop(out: Outgoing, wording: Wording) -> list[Problem]:
    problems = []
    shop = out.shop
    if "@" not in shop.contact.email:
        message = f"{shop.id} has no mail address; the draft has no recipient."
        problems.append(Problem("D022", message, severity=Severity.NOTE, subject=shop.id))
    if not wording.has("request", shop.language):
        message = (
            f"there is no templates/request.{shop.language}.txt for {shop.id}; its mail is English."
        )
        problems.append(Problem("D023", message, severity=Severity.NOTE, subject=shop.id))
    return problems


def _logo(out: Outgoing, files: Mapping[str, bytes]) -> tuple[bytes | None, list[Problem]]:
    if not out.logo:
        return None, []
    data = files.get(out.logo)
    if data is None:
        message = "the logo is not there; the cover is made without it."
    elif not readable_image(data):
        message = "the logo is no PNG or JPEG that can be read; the cover is made without it."
    else:
        return data, []
    return None, [Problem("D017", message, Place(out.logo), Severity.NOTE)]


def _attached(out: Outgoing, files: Mapping[str, bytes]) -> tuple[dict[str, bytes], list[Problem]]:
    """Drawings and models under flat names, and what is wrong with them."""
    attached: dict[str, bytes] = {}
    problems: list[Problem] = []
    for part in out.parts:
        for ref, role in _refs(part):
            data = files.get(ref.path)
            found = look_at_drawing(part, ref, role, data)
            problems += found
            if data is None or any(one.severity is Severity.STOP for one in found):
                continue
            name = flat_name(part, ref, role)
            if name in attached and attached[name] != data:
                problems.append(
                    Problem(
                        "D019",
                        f"{part.number}: two files would both be called {name}; rename one.",
                        Place(ref.path), subject=part.number,
                    )
                )  # fmt: skip
            attached[name] = data
    return attached, problems


def _refs(part: Part) -> list[tuple[FileRef, str]]:
    refs = [(part.drawing, "drawing"), (part.model, "model")]
    refs += [(ref, "file") for ref in part.files]
    return [(ref, role) for ref, role in refs if ref is not None]


def _manifest(out: Outgoing, now: datetime, files: Mapping[str, bytes]) -> bytes:
    moment = now.astimezone(UTC) if now.tzinfo else now.replace(tzinfo=UTC)
    content = {
        "request": out.request.id,
        "revision": out.request.revision,
        "round": out.round,
        "shop": out.shop.id,
        "content": out.key,
        "made": moment.strftime("%Y-%m-%dT%H:%M:%SZ"),
        "parts": [{"part": part.number, "revision": part.revision} for part in out.parts],
        "files": [
            {"name": name, "bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
            for name, data in sorted(files.items())
        ],
    }
    return (json.dumps(content, ensure_ascii=False, indent=2) + "\n").encode()


def _too_big(files: Mapping[str, bytes], gate: int) -> list[Problem]:
    return [
        Problem(
            "D018",
            f"this file alone is above the {gate / 1e6:g} MB at which mail gates stop; send it "
            "another way or leave it out of the mail.",
            Place(name), Severity.NOTE, subject=name,
        )
        for name in mail.too_big(files, gate)
    ]  # fmt: skip


def _leaks(
    own: Mapping[str, bytes], attached: Mapping[str, bytes], words: Sequence[str]
) -> list[Problem]:
    """Leaks in what we made stop; in the user's own drawings they are a question."""
    names = "\n".join([*own, *attached]).encode()
    problems = list(leak_scan({**own, "file names": names}, words))
    for one in leak_scan(attached, words):
        message = one.message.replace("nothing was written", "look at the file before sending")
        problems.append(Problem("D020", message, one.place, Severity.ASK, subject=one.subject))
    return problems
