"""What a decision says beside its figures: what was refused, and what to be careful about."""

from __future__ import annotations

from collections.abc import Iterable

from rfq.engine.award.options_of import Wanted
from rfq.model.award import Proposal
from rfq.model.project import Project
from rfq.model.quote import Quote

LOADED = (
    "{part} carries load, pressure or people: the accepted exception '{text}' stands only with the "
    "written agreement of the responsible engineer."
)
ESTIMATE = (
    "The should-cost is an estimate for talking about price; it proves neither that a shop can "
    "make the part nor that it cannot."
)


def refused(chosen: Proposal, others: Iterable[Proposal], wanted: Wanted) -> tuple[str, ...]:
    """Return in words what was not taken: other proposals with their price, and shops with why."""
    words = []
    for other in others:
        if other.name == chosen.name:
            continue
        more = other.total - chosen.total
        if not more:
            said = "the same price"
        else:
            said = f"{abs(more)} {'dearer' if more > 0 else 'cheaper'}"
        words.append(f"proposal '{other.name}' ({', '.join(other.shops)}): {other.total}, {said}")
    taken = {(share.part, share.shop) for share in chosen.shares}
    for part in wanted.need:
        for offer in _best_of_each(wanted, part):
            if (part, offer[0]) not in taken:
                words.append(f"{part} from {offer[0]}: {offer[1]}")
    for (part, shop), why in wanted.left_out.items():
        if why not in ("not asked",):
            words.append(f"{part} from {shop}: not in the choice, {why}")
    return tuple(words)


def _best_of_each(wanted: Wanted, part: str) -> list[tuple[str, str]]:
    found: dict[str, str] = {}
    for offer in wanted.offers:
        if offer.option.line == part:  # rising breaks: the last one is the line's own
            rank = f"rank {offer.cell.rank}" if offer.cell.rank else "not ranked"
            odd = offer.cell.verdict
            more = f", {odd.value}" if odd is not None and odd.value != "in line" else ""
            found[offer.option.shop] = f"comparable {offer.cell.comparable:.2f}, {rank}{more}"
    return list(found.items())


def cautions(project: Project, chosen: Proposal, quotes: Iterable[Quote]) -> tuple[str, ...]:
    """Return the cautions of an award: accepted exceptions on loaded parts, odd prices taken."""
    words = []
    given = {(share.part, share.shop) for share in chosen.shares}
    for quote in quotes:
        for taken in quote.exceptions:
            for part, shop in given:
                if shop == quote.shop and taken.part in ("", part) and taken.state != "refused":
                    if project.parts[part].loaded:
                        words.append(LOADED.format(part=part, text=taken.text))
                    if taken.state == "open":
                        words.append(f"{part}, {shop}: the exception '{taken.text}' is undecided.")
    for share in chosen.shares:
        if "query" in share.reason or "likely error" in share.reason:
            words.append(
                f"{share.part} from {share.shop}: the price is odd ({share.reason}); have the shop "
                "confirm it before the order."
            )
    words.append(ESTIMATE)
    return tuple(dict.fromkeys(words))
