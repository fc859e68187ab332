"""Every key of the app, by screen: the bindings, the footer, the palette and the help read this.

Kept free: ctrl+h, ctrl+i, ctrl+m and ctrl+[ (plain terminals cannot tell them from backspace, tab,
enter and escape), F10 and F11 (taken by terminals); ctrl+q, ctrl+p and ctrl+c keep their usual
meaning.
"""

from __future__ import annotations

from dataclasses import dataclass

from textual.binding import Binding, BindingType


@dataclass(frozen=True, slots=True)
class Key:
    """A key and what it does.

    Args:
        id: stable name, for a user's own keys. keys: one or several, by comma.
        action: the action's name. words: in the footer. tip: one sentence, in palette and help.
        show: in the footer.
    """

    id: str
    keys: str
    action: str
    words: str
    tip: str
    show: bool = True


def _k(id: str, keys: str, action: str, words: str, tip: str, show: bool = True) -> Key:
    return Key(id, keys, action, words, tip, show)


KEYS: dict[str, tuple[Key, ...]] = {
    "everywhere": (
        _k("stage.parts", "1", "stage('parts')", "parts", "Go to the parts.", False),
        _k("stage.request", "2", "stage('request')", "request", "Go to the request.", False),
        _k("stage.replies", "3", "stage('replies')", "replies", "Go to the replies.", False),
        _k("stage.cost", "4", "stage('should-cost')", "should-cost",
           "Go to what the parts should cost.", False),
        _k("stage.compare", "5", "stage('compare')", "compare", "Go to the comparison.", False),
        _k("stage.rounds", "6", "stage('rounds')", "rounds",
           "Go to rounds, questions and letters.", False),
        _k("stage.award", "7", "stage('award')", "award", "Go to the award.", False),
        _k("stage.order", "8", "stage('order')", "order",
           "Go to orders and first articles.", False),
        _k("findings", "0", "findings", "findings",
           "Show everything that is unclear, missing or dear for no reason.", False),
        _k("why", "w", "why", "why", "Show where the figure under the cursor comes from."),
        _k("copy", "y", "copy", "copy", "Copy what is under the cursor.", False),
        _k("source", "o", "open_source", "file",
           "Open the file the thing under the cursor came from.", False),
        _k("undo", "u", "undo", "undo", "Take back the last change to the project."),
        _k("again", "ctrl+r", "read_again", "read again",
           "Read the project's files again.", False),
        _k("export", "ctrl+e", "export", "export",
           "Write the comparison as csv, xlsx, parquet, json and pdf.", False),
        _k("records", "ctrl+s", "records", "shops and rates",
           "Edit shops, rates and the project's own data.", False),
        _k("other", "ctrl+o", "open_other", "other project", "Open another project.", False),
        _k("back", "escape", "back", "back", "Go back, or stop the work that is going on.", False),
        _k("help", "f1,question_mark", "help", "help", "Explain this screen."),
    ),
    "parts": (
        _k("parts.edit", "e", "edit", "edit", "Edit the part, every field of it."),
        _k("parts.new", "n", "new", "new", "Enter a new part."),
        _k("parts.duplicate", "d", "duplicate", "duplicate", "Enter a part like this one."),
        _k("parts.import", "i", "take_in", "take in",
           "Take parts in from a list (CSV, XLSX), or drawings and models from a folder."),
        _k("parts.filter", "slash", "filter", "filter", "Show only the parts that match."),
        _k("parts.attach", "f", "attach", "attach", "Attach a drawing or a model to the part."),
        _k("parts.measure", "m", "measure", "measure",
           "Measure the STEP model; see both figures, take all or one."),
        _k("parts.draw", "v", "draw", "view", "Draw the part from its STEP model.", False),
        _k("parts.remove", "delete", "remove", "remove", "Remove the part.", False),
    ),
    "request": (
        _k("request.jump", "j", "jump", "jump", "Go to the field the finding is about."),
        _k("request.edit", "e", "edit", "edit", "Edit the request: lines, shops, terms."),
        _k("request.preview", "v", "preview", "preview",
           "Show what the shop under the cursor would get."),
        _k("request.make", "m", "make", "make packages",
           "Make one package for each shop and freeze the request as sent."),
        _k("request.side", "tab", "side", "other side", "Go to the other side.", False),
        _k("request.check", "c", "check", "check", "Look for findings again.", False),
    ),
    "replies": (
        _k("replies.take", "n", "take", "take a reply", "Read a reply from a file."),
        _k("replies.open", "e", "review", "review",
           "See the reply's own cells beside what was understood."),
        _k("replies.accept", "a", "accept", "accept", "Accept the reply as a quote."),
    ),
    "review": (
        _k("review.fix", "e", "fix", "fix", "Correct the price under the cursor."),
        _k("review.column", "c", "column", "column",
           "Say what the column of the cell under the cursor means."),
        _k("review.settle", "s", "settle", "settle",
           "Answer the question at the foot, for one, the column or all."),
        _k("review.accept", "a", "accept", "accept", "Accept the reply as a quote."),
        _k("review.next", "x", "next_problem", "next question", "Go to the next open question."),
        _k("review.side", "tab", "side", "other side", "Go to the other side.", False),
    ),
    "should-cost": (
        _k("cost.assume", "e", "assume", "assumption",
           "Change an assumption and see the price move."),
        _k("cost.keep", "k", "keep", "keep", "Store the changed assumptions in the rates.", False),
        _k("cost.reset", "x", "reset", "drop changes", "Drop the changed assumptions.", False),
        _k("cost.savings", "s", "savings", "savings", "What a change to the request would save."),
        _k("cost.routes", "r", "routes", "routes",
           "Other ways to make the part, over the quantity."),
        _k("cost.drivers", "d", "drivers", "drivers", "What moves the price most."),
        _k("cost.quantity", "q", "quantity", "quantity", "Estimate at another quantity."),
    ),
    "compare": (
        _k("compare.ask", "a", "ask", "ask",
           "Put the question to the shop under the cursor on record."),
        _k("compare.details", "d", "details", "details",
           "Everything about the price under the cursor."),
        _k("compare.plot", "p", "plot", "plot", "Draw the prices of this line on one scale."),
        _k("compare.sort", "s", "sort", "sort", "Sort the lines another way."),
        _k("compare.filter", "slash", "filter", "filter", "Show only lines that match."),
        _k("compare.odd", "f", "odd_only", "only odd",
           "Show only lines with a price to ask about."),
        _k("compare.half", "h", "quantity('half')", "half", "Only the smaller quantity.", False),
        _k("compare.hide", "minus", "hide", "hide shop", "Hide the shop under the cursor.", False),
        _k("compare.show", "plus", "show_all", "show all", "Show all shops and lines.", False),
        _k("compare.next", "x", "next_odd", "next odd", "Go to the next price to ask about."),
        _k("compare.totals", "t", "totals", "totals",
           "Totals of the lines that every shop quoted, and what decides.", True),
        _k("compare.dates", "c", "dates", "dates", "Comparable dates in place of prices.", False),
        _k("compare.oneoff", "b", "without_one_offs", "one-offs",
           "Show prices with or without one-off charges."),
        _k("compare.round", "r", "round", "round", "Look at another round.", False),
    ),
    "rounds": (
        _k("rounds.tick", "space", "tick", "tick",
           "Tick the argument or target under the cursor for the letter."),
        _k("rounds.letter", "l", "letter", "letter",
           "Write the letter with what is ticked; it is shown as it reads, none is sent."),
        _k("rounds.new", "n", "open_round", "next round", "Open the next round."),
        _k("rounds.close", "c", "close_round", "close", "Close the open round."),
        _k("rounds.revise", "v", "revise", "revise",
           "Make a new revision of the request, with what changed in words.", False),
        _k("rounds.ask", "k", "put_question", "question", "Record a question.", False),
        _k("rounds.answer", "a", "answer", "answer or decide",
           "Answer the question, or decide the exception, under the cursor."),
        _k("rounds.send", "s", "send", "letters of question",
           "Write the letters of the question or answer under the cursor.", False),
        _k("rounds.remind", "r", "remind", "remind",
           "Write a reminder to the shops that have not answered.", False),
        _k("rounds.movement", "m", "movement", "movement",
           "What moved between the last two rounds: price, scope, terms."),
        _k("rounds.side", "tab", "side", "other side", "Go to the other side.", False),
    ),
    "award": (
        _k("award.rules", "e", "rule", "change rule", "Change the rule under the cursor."),
        _k("award.propose", "p", "propose", "propose", "Work out the proposals again."),
        _k("award.choose", "c", "choose", "choose",
           "Choose the proposal under the cursor: award, orders and letters are written."),
        _k("award.details", "d", "details", "details", "Every share of the proposal."),
        _k("award.side", "tab", "side", "other side", "Go to the other side.", False),
    ),
    "order": (
        _k("order.acknowledge", "a", "acknowledge", "acknowledgement",
           "Read the shop's acknowledgement and compare it with the order."),
        _k("order.receive", "g", "receive", "goods", "Record what came: day, good and bad pieces."),
        _k("order.invoice", "i", "invoice", "invoice", "Record the invoice's total."),
        _k("order.form", "f", "form", "report form",
           "Write the first article report form of the part under the cursor."),
        _k("order.measured", "m", "measured", "measured values",
           "Read measured values and judge them against the callouts."),
        _k("order.decide", "d", "decide", "decide",
           "Record the engineer's decision on the first article under the cursor."),
    ),
    "form": (
        _k("form.edit", "e", "edit", "edit", "Edit the field under the cursor."),
        _k("form.add", "n", "add", "add", "Add an entry to the list under the cursor."),
        _k("form.remove", "delete", "remove", "remove",
           "Remove the entry, or empty the field, under the cursor."),
        _k("form.back", "escape", "leave", "back", "Go back; every change is stored already."),
    ),
}  # fmt: skip


def bindings(screen: str) -> list[BindingType]:
    """Return a screen's keys as bindings."""
    return [
        Binding(key.keys, key.action, key.words, show=key.show, id=key.id, tooltip=key.tip)
        for key in KEYS[screen]
    ]
