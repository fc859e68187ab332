"""Mail drafts: a clerk acts on ten lines in the shop's language; nothing too big in silence."""

from __future__ import annotations

from datetime import UTC, datetime
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import default

from rfq.documents import mail
from rfq.documents.outgoing import Outgoing, outgoing
from rfq.documents.wording import Wording
from rfq.model.project import Project


def out_of(project: Project, shop: str) -> Outgoing:
    return outgoing(project, project.requests["2026-07"], project.shops[shop], 1)


def opened(data: bytes) -> EmailMessage:
    message = message_from_bytes(data, policy=default)
    assert isinstance(message, EmailMessage)
    return message


def test_a_draft_opens_in_any_mail_program(river_project: Project, wording: Wording) -> None:
    out = out_of(river_project, "oakvane")
    files = {"a.pdf": b"%PDF-1.4 x", "RG-110_C.step": bytes(range(256))}
    letter = mail.request_letter(out, wording, list(files))
    (draft,) = mail.drafts(out, letter, files)
    message = opened(draft.data)
    assert message["To"] == "Mary Oake <quotes@oakvane.example.com>"
    assert message["X-Unsent"] == "1"
    assert message["Date"] is None
    assert message["Subject"] == letter.subject
    body = message.get_body()
    assert body is not None
    assert body.get_content().replace("\r\n", "\n") == letter.body
    assert {
        part.get_filename(): part.get_payload(decode=True) for part in message.iter_attachments()
    } == files


def test_ten_lines_say_what_a_clerk_needs(river_project: Project, wording: Wording) -> None:
    letter = mail.request_letter(out_of(river_project, "oakvane"), wording, ["a.pdf"])
    paragraphs = letter.body.split("\n\n")
    assert len(paragraphs[1].splitlines()) <= 10
    for fact in (
        "RG-110 C Bearing block", "5 / 25 / 100", "EN AW-6082 T651", "hard anodise",
        "11 September 2026", "24 July 2026, 12:00 (UTC+02:00)", "DAP 12345 Flussheim",
        "rfq@pegel.example.com", "a.pdf",
    ):  # fmt: skip
        assert fact in letter.body


def test_in_german_for_a_german_shop(river_project: Project, wording: Wording) -> None:
    letter = mail.request_letter(out_of(river_project, "tarnfell"), wording, [])
    assert letter.subject.startswith("Anfrage 2026-07")
    assert "Freitag, 24. Juli 2026" in letter.body and "Werkstoff:" in letter.body
    assert "RG-204" not in letter.body


def test_a_reminder(river_project: Project, wording: Wording) -> None:
    asked_on = datetime(2026, 7, 6, tzinfo=UTC)
    letter = mail.reminder_letter(out_of(river_project, "oakvane"), wording, asked_on)
    assert "on Monday, 6 July 2026 we asked you" in letter.body
    assert letter.subject.startswith("Reminder")


def test_a_language_without_texts_falls_back_to_english(
    river_project: Project, wording: Wording
) -> None:
    shop = river_project.shops["oakvane"].model_copy(update={"language": "pl"})
    project = river_project.model_copy(update={"shops": {"oakvane": shop}})
    letter = mail.request_letter(out_of(project, "oakvane"), wording, [])
    assert letter.subject.startswith("Request for quotation")
    assert "Friday, 24 July 2026" in letter.body


def test_loads_keep_below_the_gate(river_project: Project, wording: Wording) -> None:
    out = out_of(river_project, "oakvane")
    files = {f"{n}.step": bytes(1_000_000) for n in range(9)}
    letter = mail.request_letter(out, wording, list(files))
    drafts = mail.drafts(out, letter, files, gate=5_000_000)
    assert [len(one.attachments) for one in drafts] == [3, 3, 3]
    assert all(one.size <= 5_000_000 for one in drafts)
    assert opened(drafts[1].data)["Subject"].endswith("(mail 2 of 3)")
    assert mail.too_big({"a": bytes(4_000_000)}, 5_000_000) == ("a",)


def test_an_address_that_is_none_gives_a_draft_without_recipient(
    river_project: Project, wording: Wording
) -> None:
    contact = river_project.shops["oakvane"].contact.model_copy(update={"email": "call us"})
    shop = river_project.shops["oakvane"].model_copy(update={"contact": contact})
    project = river_project.model_copy(update={"shops": {"oakvane": shop}})
    out = out_of(project, "oakvane")
    (draft,) = mail.drafts(out, mail.request_letter(out, wording, []), {})
    assert opened(draft.data)["To"] is None
