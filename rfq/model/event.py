"""What happened: the journal's events, and questions with their answers."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from rfq.model.base import RecordId, Value


class Event(Value):
    """One line of the journal."""

    at: datetime
    by: str
    number: int = 0  # running number of this person's journal
    what: str  # 'reply accepted', 'round closed' ...
    about: str = ""  # record it is about
    detail: str = ""
    file: str = ""
    sha256: str = ""


class Clarification(Value):
    """A question and its answer.

    An explanation or a changed requirement goes to all asked shops in the same words; a shop's
    own solution stays its own unless it agrees in writing.
    """

    id: RecordId
    request: RecordId
    round: int = 1
    raised_by: str = ""  # a shop's id, or empty for us
    to_shop: str = ""  # a question of ours to one shop
    part: str = ""
    callout: str = ""
    question: str
    kind: Literal["explanation", "changed requirement", "own solution", "price"] = "explanation"
    answer: str = ""
    state: Literal["open", "answered", "sent", "closed"] = "open"
    asked_at: datetime
    answered_at: datetime | None = None
    sent_at: datetime | None = None
    sent_to: tuple[str, ...] = ()
    consent: str = ""  # written yes of the shop whose solution it is
    revision: int | None = None  # of the request the answer made
    internal_note: str = ""
