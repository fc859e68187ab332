"""Targets and arguments of a round, the letters that carry them, reminders, and when to stop."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from rfq.documents.letter import ShopLetter, asked_on, bulleted, words_for
from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.savings import savings
from rfq.engine.negotiate.arguments import Argument, arguments
from rfq.engine.negotiate.state import request_state
from rfq.engine.negotiate.targets import Target, targets
from rfq.engine.negotiate.when_to_stop import AnotherRound, another_round
from rfq.engine.normalise.quantity import bind
from rfq.model.comparison import Comparison
from rfq.model.estimate import Saving
from rfq.model.request import Request
from rfq.store.save import changes
from rfq.tasks.award import standing_prices
from rfq.tasks.compare import compare_opened
from rfq.tasks.done import Done
from rfq.tasks.letters import free_home, keep_letter, letter_to, stop, wording_of
from rfq.tasks.open import Opened, moment_of, opened, request_of
from rfq.tasks.rounds import movement_opened

WEEKS_OF_A_ROUND = Decimal("1.5")  # five working days to answer, and ours; common practice


@dataclass(frozen=True, slots=True)
class Position:
    """What we can say in a round, and whether to.

    Args:
        targets: of every price, or why there is none. arguments: by shop, largest first.
        another: whether one more round is likely to pay.
    """

    request: Request
    comparison: Comparison
    targets: tuple[Target, ...]
    arguments: dict[str, tuple[Argument, ...]]
    another: AnotherRound

    def of(self, shop: str) -> tuple[Target, ...]:
        """Return a shop's targets."""
        return tuple(one for one in self.targets if one.shop == shop)


def position(path: Path, *, round_: int | None = None, request_id: str = "") -> Done[Position]:
    """Return targets, arguments and the value of another round; nothing is stored."""
    return position_opened(opened(path), round_=round_, request_id=request_id)


def position_opened(
    here: Opened, *, round_: int | None = None, request_id: str = ""
) -> Done[Position]:
    """Return targets, arguments and the value of another round of an opened project."""
    project, request = here.project, request_of(here.project, request_id)
    done = compare_opened(here, round_=round_, request_id=request.id)
    comparison = done.value
    prices = standing_prices(project, request, comparison.round)
    quoted = {}
    for line in comparison.lines:
        for cell in line.prices:
            bound = bind(prices.get((line.part, cell.shop), ()), line.quantity)
            if bound is not None and bound.price.each is not None:
                quoted[line.part, line.quantity, cell.shop] = bound.price.each
    found = targets(comparison, quoted)
    worth = _savings(here, request)
    said = {
        asked.shop: arguments(
            project, request, comparison, asked.shop, savings=worth, prices=prices
        )
        for asked in request.asked
    }
    another = _another(here, request, comparison, found)
    return Done(Position(request, comparison, found, said, another), done.problems)


def target_letters(
    path: Path,
    ticks: dict[str, Sequence[str]],
    *,
    say_should_cost: Sequence[str] = (),
    round_: int | None = None,
    request_id: str = "",
) -> Done[tuple[ShopLetter, ...]]:
    """Write a letter to each shop with the arguments and targets that were ticked.

    Args:
        path: the project.
        ticks: shop -> keys of arguments and targets ('SB-110/run', 'target:SB-110/25').
        say_should_cost: parts whose should-cost (our middle) may be said in so many words.
    Raises:
        Stopped: an unknown key; nothing ticked; a letter would give something away.
    """
    here = opened(path)
    project = here.project
    where = position_opened(here, round_=round_, request_id=request_id).value
    request, comparison = where.request, where.comparison
    if not any(ticks.values()):
        raise stop("W130", "nothing is ticked; name at least one argument or target.")
    rounds = project.rounds_of(request.id)
    newest = rounds[-1] if rounds else None
    number = newest.number if newest is not None and newest.closed is None else comparison.round
    wording = wording_of(here)
    made = []
    for shop, keys in ticks.items():
        if not keys:
            continue
        if shop not in project.shops:
            raise stop("W111", f"there is no shop '{shop}'.")
        language = project.shops[shop].language
        language = language if wording.has("targets", language) else "en"
        words = words_for(language)
        points, aims, allowed, careful = _ticked(where, shop, keys, language)
        for part in say_should_cost:
            for line in comparison.lines:
                asked = request.line(part)
                if line.part == part and line.should_cost is not None and asked is not None:
                    if line.quantity != (asked.order_first or asked.quantities[0]):
                        continue
                    middle = f"{line.should_cost.middle:.2f}"
                    aims.append(
                        f"{part}, {line.quantity} {words['pcs']}: {middle} {comparison.currency}"
                    )
                    allowed += [middle, middle.replace(".", ",")]
        values = {
            "points": bulleted(points),
            "targets": bulleted(aims),
            "last_round": words["last"] if newest is not None and newest.last else "",
            "caution": words["caution"] if careful else "",
        }
        made.append(
            letter_to(here, request, number, shop, "targets", values, wording=wording,
                      comparison=comparison, allowed=allowed)
        )  # fmt: skip
    home = free_home(here, f"requests/{request.id}/round-{number}/letters/targets")
    with changes(
        here.folder, "target letters written", project=project, at=moment_of(project),
        about=f"round:{request.id}/{number}", detail=", ".join(one.shop for one in made),
    ) as change:  # fmt: skip
        for one in made:
            keep_letter(change, home, one)
    return Done(tuple(made), (), change.written)


def reminder_letters(
    path: Path, *, shops: Sequence[str] = (), request_id: str = ""
) -> Done[tuple[ShopLetter, ...]]:
    """Write a reminder to each shop that has not answered the newest round.

    Raises:
        Stopped: no round, or all have answered.
    """
    here = opened(path)
    project, request = here.project, request_of(here.project, request_id)
    newest = request_state(project, request, moment_of(project)).newest
    if newest is None:
        raise stop("W106", f"request {request.id} has no round yet.")
    waiting = [shop for shop in newest.waiting if not shops or shop in shops]
    if not waiting:
        raise stop("W131", f"nobody is waited for in round {newest.round.number}.")
    wording = wording_of(here)
    number = newest.round.number
    made = []
    for shop in waiting:
        language = project.shops[shop].language
        known = language if wording.has("reminder", language) else "en"
        values = {"asked_on": asked_on(newest.round.opened, known)}
        made.append(
            letter_to(here, request, number, shop, "reminder", values, wording=wording,
                      answer_by=newest.round.cut_off)
        )  # fmt: skip
    home = free_home(here, f"requests/{request.id}/round-{number}/letters/reminder")
    with changes(
        here.folder, "reminders written", project=project, at=moment_of(project),
        about=f"round:{request.id}/{number}", detail=", ".join(waiting),
    ) as change:  # fmt: skip
        for one in made:
            keep_letter(change, home, one)
    return Done(tuple(made), (), change.written)


def _ticked(
    where: Position, shop: str, keys: Sequence[str], language: str
) -> tuple[list[str], list[str], list[str], bool]:
    """Points, targets, the figures they say, and whether a caution goes with them."""
    by_key = {one.key: one for one in where.arguments.get(shop, ())}
    aims = {one.key: one for one in where.of(shop)}
    points, said, allowed, careful = [], [], [], False
    for key in keys:
        if key in by_key:
            points.append(by_key[key].said(language))
            careful = careful or bool(by_key[key].caution)
        elif key in aims and aims[key].quoted_target is not None:
            one = aims[key]
            said.append(
                f"{one.part}, {one.quantity}: {one.quoted_target} {one.currency} "
                f"({one.quoted} {one.currency})"
            )
            allowed += [str(one.quoted_target), str(one.quoted_target).replace(".", ",")]
        elif key in aims:
            raise stop("W132", f"{shop}, {key}: there is no target; {aims[key].why}.")
        else:
            known = ", ".join([*by_key, *(k for k, one in aims.items() if one.target)])
            raise stop("W133", f"{shop} has no '{key}'; there are {known}.")
    return points, said, allowed, careful


def _savings(here: Opened, request: Request) -> dict[str, tuple[Saving, ...]]:
    found = {}
    for line in request.lines:
        part = here.project.parts.get(line.part)
        if part is None:
            continue
        try:
            found[line.part] = savings(
                part, line.order_first or line.quantities[0], here.project.rates,
                draws=1024, request=request,
            )  # fmt: skip
        except EstimateError:
            continue  # `rfq cost` says why there is none
    return found


def _another(
    here: Opened, request: Request, comparison: Comparison, found: tuple[Target, ...]
) -> AnotherRound:
    lowest = [
        (line.part, line.quantity, cell.shop)
        for line in comparison.lines
        for cell in line.prices
        if cell.rank == 1
        and (asked := request.line(line.part)) is not None
        and line.quantity == (asked.order_first or asked.quantities[0])
    ]
    moved = (
        movement_opened(here, comparison.round - 1, comparison.round, request_id=request.id).value
        if comparison.round > 1
        else ()
    )
    rounds = here.project.rounds_of(request.id)
    cost = next((r.cost_per_week for r in reversed(rounds) if r.cost_per_week is not None), None)
    return another_round(
        found, lowest, moved, WEEKS_OF_A_ROUND,
        cost if cost is not None else here.project.rates.delay_per_week, comparison.currency,
    )  # fmt: skip
