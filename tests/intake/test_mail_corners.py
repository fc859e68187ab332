# ruff: noqa: E501 - one made mail stands on one line
"""Mails as programs write them: only a page, several attachments, quotes, torn signs, no end.

Header fields: RFC 5322; parts: RFC 2045 and 2046. Names and figures are invented.
"""

from __future__ import annotations

from datetime import UTC, datetime
from email.message import EmailMessage
from pathlib import Path

import pytest

from rfq.intake.read import read_reply
from rfq.model.draft import Draft
from rfq.model.request import Request, RequestLine

REQUEST = Request(
    id="2026-07",
    title="Brackets",
    lines=tuple(RequestLine(part=p, quantities=(10, 50)) for p in ("BR-1041", "SH-2007")),
)
CSV = b"Part;Qty;Unit price EUR\nBR-1041;10;45,90\nSH-2007;50;25,27\n"
OTHER = b"Part;Qty;Unit price EUR\nBR-1041;10;44,90\n"
HEADERS = b"From: Oak Vane <sales@oakvane.example.com>\nTo: b@example.com\nSubject: q\n"
TABLE = "<table><tr><td>Part No<td>Qty<td>Unit price EUR<tr><td>BR-1041<td>10<td>%s</table>"


def mail(folder: Path, body: str, page: str = "", files: dict[str, bytes] | None = None) -> Path:
    message = EmailMessage()
    message["From"] = "Oak Vane <sales@oakvane.example.com>"
    message["To"] = "lead@example.com"
    message["Subject"] = "Quotation"
    message["Date"] = "Fri, 20 Nov 2026 10:00:00 +0100"
    message.set_content(body)
    if page:
        message.add_alternative(page, subtype="html")
    for name, data in (files or {}).items():
        message.add_attachment(data, maintype="application", subtype="octet-stream", filename=name)
    path = folder / "m.eml"
    path.write_bytes(bytes(message))
    return path


def raw(folder: Path, data: bytes) -> Path:
    path = folder / "m.eml"
    path.write_bytes(data)
    return path


def read(path: Path) -> Draft:
    draft: Draft = read_reply(path, REQUEST).get()
    return draft


def prices(draft: Draft) -> dict[tuple[str, int], str]:
    return {(p.part, p.quantity): f"{p.each} {p.currency}" for p in draft.prices if p.sure}


def said(draft: Draft) -> str:
    return "\n".join(f"{p.code} {p.severity.value} {p.message}" for p in draft.problems)


FIRST = {("BR-1041", 10): "45.90 EUR"}


@pytest.mark.parametrize(
    "page",
    [
        "<p>BR-1041 Rev B: 10 pcs at EUR 45.90 each</p><style>p{margin:1}</style>",
        "<p>BR-1041: 10 pcs at <s>EUR 47.90</s> EUR 45.90 each</p>",
        '<p style="display:none">BR-1041: 10 pcs at EUR 40.00 each</p><p>BR-1041: 10 pcs at EUR 45.90 each</p>',
        '<p>BR-1041: 10 pcs at EUR 45.90 each</p><div class="gmail_quote"><blockquote>BR-1041: 10 pcs at EUR 40.00 each</blockquote></div>',
        "<p>Hello</p>" + TABLE % "45.90" + "<blockquote>" + TABLE % "40.00" + "</blockquote>",
    ],
    ids=["sentence", "crossed out", "never displayed", "older mail", "table over an older one"],
)
def test_a_page_beside_an_empty_text(tmp_path: Path, page: str) -> None:
    draft = read(mail(tmp_path, "\n", page))
    assert prices(draft) == FIRST and len(draft.prices) == 1


def test_the_figure_of_a_footnote_never_joins_a_price(tmp_path: Path) -> None:
    sentence = read(mail(tmp_path, "", "<p>BR-1041: 10 pcs at EUR 45.90<sup>1</sup> each</p>"))
    assert prices(sentence) == {} and "R017 ask BR-1041 at 10" in said(sentence)
    table = read(mail(tmp_path, "", TABLE % "45.90<sup>1</sup>"))
    assert prices(table) == {}


def test_several_priced_attachments_are_asked_about(tmp_path: Path) -> None:
    draft = read(mail(tmp_path, "see attached", files={"a.csv": CSV, "b.csv": OTHER}))
    assert prices(draft) == FIRST | {("SH-2007", 50): "25.27 EUR"}
    assert "R054 ask Several attachments hold prices (a.csv, b.csv); a.csv was read" in said(draft)


def test_a_correction_beside_an_attachment_needs_a_yes(tmp_path: Path) -> None:
    draft = read(mail(tmp_path, "BR-1041 should be 47.90 EUR.\n", files={"a.csv": CSV}))
    assert ("BR-1041", 10) in prices(draft)
    assert "R055 ask The mail's text says: 'BR-1041 should be 47.90 EUR.'" in said(draft)


def test_attachments_that_cannot_be_read_are_said_once_each(tmp_path: Path) -> None:
    files = {"logo.png": b"\x89PNG", "b.zip": b"PK\x03\x04 torn", "old.eml": HEADERS + b"Date: d\n\nBR-1041 10 45.90", "none.csv": b""}  # fmt: skip
    draft = read(mail(tmp_path, "see attached", files=files))
    assert not draft.prices
    assert "R003 ask Attachment b.zip: b.zip is damaged" in said(draft)
    assert "R002 ask Attachment old.eml: old.eml is a mail inside the mail" in said(draft)
    assert "logo.png" not in said(draft)


def test_quoted_figures_are_named_and_not_read(tmp_path: Path) -> None:
    body = "BR-1041: 10 pcs at EUR 45.90 each.\n\nOn Fri, Nov 20, 2026, X <x@example.com> wrote:\n> BR-1041: 10 pcs at 40.00 EUR each\n"
    draft = read(mail(tmp_path, body))
    assert prices(draft) == FIRST and "R056 note" in said(draft)


@pytest.mark.parametrize(
    ("date", "received"),
    [
        (b"Fri, 20 Nov 2026 10:00:00", datetime(2026, 11, 20, 10, tzinfo=UTC)),
        (b"Fri, 20 Nov 2026 10:00:00 +0100", datetime(2026, 11, 20, 9, tzinfo=UTC)),
        (b"yesterday", None),
    ],
)
def test_the_day_a_mail_came(tmp_path: Path, date: bytes, received: datetime | None) -> None:
    draft = read(raw(tmp_path, HEADERS + b"Date: " + date + b"\n\nBR-1041: 10 pcs at EUR 45.90 each.\n"))  # fmt: skip
    assert draft.received == received and prices(draft) == FIRST
    assert (draft.sender, draft.shop) == ("sales@oakvane.example.com", "Oak Vane")


@pytest.mark.parametrize("charset", [b"utf-8", b"x-unknown", b"us-ascii"])
def test_a_body_in_another_encoding_than_it_says(tmp_path: Path, charset: bytes) -> None:
    text = "BR-1041: 10 Stück zu 45,90 EUR je Stück, geprüft.\n".encode("cp1252")
    head = HEADERS + b"Date: d\nMIME-Version: 1.0\nContent-Type: text/plain; charset=" + charset
    draft = read(raw(tmp_path, head + b"\nContent-Transfer-Encoding: 8bit\n\n" + text))
    assert prices(draft) == FIRST and "Stück" in draft.prices[0].note


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"x" * 1_000_100, "a line longer than any mail program writes"),
        (b"--a\n" * 5_100, "more parts than any mail program writes"),
        (b"abc def\n" * 300_000, "2 MB of running text"),
    ],
    ids=["line", "parts", "text"],
)
def test_a_mail_without_an_end_is_refused(tmp_path: Path, body: bytes, words: str) -> None:
    reading = read_reply(raw(tmp_path, HEADERS + b"Date: d\n\n" + body), REQUEST)
    assert reading.value is None and words in reading.problems[0].message
