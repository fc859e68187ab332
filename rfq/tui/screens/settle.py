"""Settling what is unsure in a reply: for one price, its column, or all."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from rfq.model.draft import Draft
from rfq.model.quote import Price
from rfq.tui.screens.cards import AskCard, ChoiceCard

if TYPE_CHECKING:
    from rfq.tui.screens.review import ReviewScreen

_SCOPES = (
    ("one", "only this price"), ("column", "all prices of its column"), ("all", "all prices"),
)  # fmt: skip
_WAYS = (
    ("as read", "confirm the price as it was read"),
    ("price", "type the price of one piece, net"),
    ("price base", "the printed price is for 1, 100, a lot, a kg ..."),
    ("currency", "the printed price is in another currency"),
    ("tax", "tax is inside the printed price, or outside"),
    ("quantity", "the price is for another number of pieces"),
    ("part", "it is another part of the request"),
    ("leave out", "it is no price of ours"),
    ("answer", "it concerns no figure: answer it in words"),
)
# Which way is proposed first for a problem of the reader, by its code.
_LIKELY = {
    "R015": "currency", "R016": "tax", "R022": "price base", "R017": "quantity", "R018": "part",
    "R019": "part", "R020": "part", "R010": "price", "R012": "price base", "R021": "leave out",
}  # fmt: skip


def type_price(screen: ReviewScreen, price: Price) -> None:
    """Type one price anew; ``41,20`` is 41.20, and says so while it is typed."""
    from rfq.tasks.review import set_price
    from rfq.tasks.typed import number_typed

    def check(typed: str) -> tuple[bool, str]:
        number, said = number_typed(typed)
        good = number is not None and number >= 0
        return good, f"{number} {price.currency or '?'} a piece" if good else said.words

    def answered(typed: str | None) -> None:
        number = number_typed(typed)[0] if typed else None
        if number is not None:
            _store(screen, lambda here, draft: set_price(here, draft, price, str(number)))

    title = f"{price.part} at {price.quantity}: price of one piece, net"
    screen.app.push_screen(AskCard(title, str(price.each or ""), check=check), answered)


def settle(screen: ReviewScreen) -> None:
    """Offer the ways to settle the question at the foot, the likeliest first."""
    problem, price = screen.problem_here(), screen.price
    if price is None:
        screen.rfq.say("there is no price under the cursor", bad=True)
        return
    likely = _LIKELY.get(problem.code if problem else "", "as read")
    ways = sorted(_WAYS, key=lambda way: way[0] != likely)

    def chosen(index: int | None) -> None:
        if index is not None:
            _settle_by(screen, price, ways[index][0])

    title = problem.message if problem is not None else f"{price.part} at {price.quantity}"
    screen.app.push_screen(ChoiceCard(title, ways), chosen)


def _settle_by(screen: ReviewScreen, price: Price, way: str) -> None:
    from rfq.tasks import review

    match way:
        case "as read":
            _store(screen, lambda here, draft: review.confirm_price(here, draft, price))
        case "price":
            type_price(screen, price)
        case "price base":
            _choose(screen, "the printed price is for", review.BASES, lambda base: _scoped(
                screen, price, lambda here, draft, scope: review.set_base(
                    here, draft, price, base, scope)))  # fmt: skip
        case "currency":
            _ask(screen, "currency, three capitals", price.currency, lambda code: _scoped(
                screen, price, lambda here, draft, scope: review.set_currency(
                    here, draft, price, code.strip().upper(), scope)))  # fmt: skip
        case "tax":
            _ask_tax(screen, price)
        case "quantity":
            _ask(screen, "pieces", str(price.quantity), lambda typed: _store(
                screen, lambda here, draft: review.set_quantity(here, draft, price, int(typed))),
                check=_whole)  # fmt: skip
        case "part":
            parts = tuple(screen.rfq.session.project.parts) if screen.rfq.session else ()
            _choose(screen, f"{price.part} is", parts, lambda part: _store(
                screen,
                lambda here, draft: review.match_part(here, draft, price.part, part)))  # fmt: skip
        case "leave out":
            _store(screen, lambda here, draft: review.leave_out(here, draft, price))
        case _:
            _answer(screen)


def _answer(screen: ReviewScreen) -> None:
    from rfq.tasks.review import answer_question

    problem = screen.problem_here()
    if problem is None:
        screen.rfq.say("nothing is asked")
        return
    _ask(screen, problem.message, "", lambda words: _store(
        screen, lambda here, draft: answer_question(here, draft, problem, words)))  # fmt: skip


def _ask_tax(screen: ReviewScreen, price: Price) -> None:
    from rfq.tasks.review import set_tax
    from rfq.tasks.typed import number_typed

    def check(typed: str) -> tuple[bool, str]:
        if not typed.strip():
            return True, "tax is outside the printed prices"
        number, said = number_typed(typed)
        good = number is not None and 0 <= number <= 100
        return good, f"tax of {number} % is inside the printed prices" if good else said.words

    def put(typed: str) -> None:
        rate: Decimal | None = number_typed(typed)[0] if typed.strip() else None
        _scoped(screen, price, lambda here, draft, scope: set_tax(here, draft, price, rate, scope))

    title = "tax inside the prices, percent; empty where it is outside"
    _ask(screen, title, "", put, check=check)


def say_column(screen: ReviewScreen) -> None:
    """Say what the column of the cell under the cursor means; the reply is read anew."""
    from rfq.tasks.review import MEANINGS, remap_column

    cell, price = screen.cell, screen.price
    place = cell.place if cell is not None else price.place if price is not None else None
    letters = "".join(char for char in (place.cell if place else "") if char.isalpha())
    if place is None or not letters:
        screen.rfq.say("this reply has no columns", bad=True)
        return
    sheet = place.sheet
    meanings = tuple(one or "nothing of ours" for one in MEANINGS)

    def put(said: str) -> None:
        meaning = "" if said == "nothing of ours" else said
        _store(
            screen, lambda here, draft: remap_column(here, draft, sheet, letters, meaning),
        )  # fmt: skip

    _choose(screen, f"column {letters} means", meanings, put)


def _whole(typed: str) -> tuple[bool, str]:
    good = typed.strip().isdigit() and int(typed) > 0
    return good, f"{typed} pcs" if good else "a whole number of pieces"


def _choose(
    screen: ReviewScreen, title: str, values: tuple[str, ...], put: Callable[[str], object]
) -> None:
    def chosen(index: int | None) -> None:
        if index is not None:
            put(values[index])

    screen.app.push_screen(ChoiceCard(title, [(one,) for one in values]), chosen)


def _ask(
    screen: ReviewScreen,
    title: str,
    value: str,
    put: Callable[[str], object],
    check: Callable[[str], tuple[bool, str]] | None = None,
) -> None:
    def answered(typed: str | None) -> None:
        if typed is not None:
            put(typed)

    screen.app.push_screen(AskCard(title, value, check=check), answered)


def _scoped(screen: ReviewScreen, price: Price, run: Callable[[Any, Draft, Any], Any]) -> None:
    """Ask how far a correction reaches, then make it."""
    if not price.place.cell:
        _store(screen, lambda here, draft: run(here, draft, "one"))
        return

    def chosen(index: int | None) -> None:
        if index is not None:
            _store(screen, lambda here, draft: run(here, draft, _SCOPES[index][0]))

    screen.app.push_screen(ChoiceCard("for which prices?", _SCOPES), chosen)


def _store(screen: ReviewScreen, run: Callable[[Any, Draft], Any]) -> None:
    draft = screen.draft
    if draft is None:
        return

    def stored(_: object) -> None:
        screen.rfq.say("stored (u takes it back)")

    screen.rfq.change("storing", lambda here: run(here, draft), stored)
