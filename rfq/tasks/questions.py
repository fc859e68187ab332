"""Put a question of ours to a shop on record."""

from __future__ import annotations

from rfq.model.event import Clarification
from rfq.store.save import changes
from rfq.tasks.compare import newest_round
from rfq.tasks.done import Done
from rfq.tasks.open import Opened, moment_of, request_of


def put_question(
    here: Opened, shop: str, part: str, question: str, request_id: str = ""
) -> Done[Clarification]:
    """Record a question to one shop; the same question is not recorded twice.

    Args:
        here: the project. shop: whom it goes to. part: what it is about; '' for the whole reply.
        question: as it goes out; it names no other shop and no other shop's figure.
    """
    project = here.project
    request = request_of(project, request_id)
    for one in project.clarifications:
        if (one.request, one.to_shop, one.question) == (request.id, shop, question):
            return Done(one)
    numbers = [one.id for one in project.clarifications if one.request == request.id]
    number = next(n for n in range(1, len(numbers) + 2) if f"Q{n}" not in numbers)
    moment = moment_of(project)
    asked = Clarification(
        id=f"Q{number}",
        request=request.id,
        round=newest_round(project, request),
        to_shop=shop,
        part=part,
        question=question,
        kind="price",
        asked_at=moment,
    )
    with changes(
        here.folder, "question put", project=project, detail=f"{shop}: {question[:80]}", at=moment
    ) as change:
        change.put(asked)
    return Done(asked, (), change.written)
