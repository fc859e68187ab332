"""Verdicts on a first article: each result, each callout, and the whole."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Final, Literal

from rfq.engine.first_article.asked import Asked, asked_of
from rfq.engine.first_article.what_to_do import WHAT_TO_DO, needed_uncertainty, to_measure_again
from rfq.engine.standards.conformance import RULES, Edition, guard_band_mm, judge
from rfq.model.award import Measured
from rfq.model.part import Part
from rfq.model.request import Request

Plain = Literal["inside", "outside", "not judged"]
Proof = Literal["conforms, proven", "does not conform, proven", "neither proven", "by gauge",
                "no uncertainty", ""]  # fmt: skip
State = Literal["passed", "failed", "undecided", "missing"]
_GOOD: Final = ("go", "pass")
#: Usual expanded uncertainties of a stylus (share of the value) and of a bevel protractor.
#: Common practice, no source.
_TEXTURE_SHARE: Final = Decimal("0.1")
_ANGLE_DEG: Final = Decimal("0.1")


@dataclass(frozen=True, slots=True)
class ResultVerdict:
    """One result against its callout.

    Args:
        plain: inside or outside the limits as measured. proof: by ISO 14253-1.
        uncertainty: expanded, k = 2, in the callout's unit; assumed: it is the usual one of the
            means, not the shop's (common practice).
        guard: guard band used. words: one sentence. to_do: what follows, or ''.
    """

    result: Measured
    asked: Asked
    plain: Plain
    proof: Proof
    uncertainty: Decimal | None
    assumed: bool
    guard: Decimal | None
    probability: float | None
    words: str
    to_do: str

    @property
    def state(self) -> State:
        """What it comes to: a value outside, but not proven so, is undecided."""
        if self.plain == "not judged" or self.proof == "neither proven":
            return "undecided"
        if self.plain == "outside":
            return "failed"
        return "undecided" if self.proof == "no uncertainty" else "passed"


@dataclass(frozen=True, slots=True)
class CalloutVerdict:
    """One callout over its pieces and instances."""

    asked: Asked
    results: tuple[ResultVerdict, ...]
    missing: str  # in words, what was not measured; '' for nothing

    @property
    def state(self) -> State:
        """The worst of its results."""
        states = {result.state for result in self.results}
        for state in ("failed", "undecided"):
            if state in states:
                return state
        return "missing" if self.missing else "passed"


@dataclass(frozen=True, slots=True)
class ArticleVerdict:
    """A first article as a whole."""

    part: str
    callouts: tuple[CalloutVerdict, ...]
    pieces: tuple[int, ...]
    rule: str

    def of(self, state: State) -> tuple[CalloutVerdict, ...]:
        """Return the callouts of a state."""
        return tuple(one for one in self.callouts if one.state == state)

    @property
    def advice(self) -> str:
        """What the figures suggest; the engineer decides."""
        if self.of("failed"):
            return "do not release: at least one characteristic does not conform"
        if self.of("undecided"):
            return "do not release yet: have the undecided characteristics measured by better means"
        if self.of("missing"):
            return "do not release yet: characteristics are missing from the report"
        return "all characteristics conform: the lot can be released"


def verdicts(part: Part, request: Request | None, results: Iterable[Measured]) -> ArticleVerdict:
    """Return the verdicts on a part's first article.

    Args:
        part: its callouts. request: general tolerance and decision rule.
        results: measured and attribute results, of one or several pieces.
    """
    edition = edition_of(request.terms.decision_rule if request else "")
    by_callout: dict[str, list[Measured]] = {}
    for result in results:
        by_callout.setdefault(result.callout, []).append(result)
    pieces = tuple(sorted({one.piece for found in by_callout.values() for one in found})) or (1,)
    judged = []
    for callout in part.callouts:
        asked = asked_of(callout, part, request)
        if asked is None:
            continue
        mine = sorted(by_callout.get(callout.number, []), key=lambda one: (one.piece, one.instance))
        found = tuple(_verdict(asked, result, edition) for result in mine)
        judged.append(CalloutVerdict(asked, found, _missing(asked, mine, pieces)))
    return ArticleVerdict(part.number, tuple(judged), pieces, RULES[edition])


def edition_of(rule: str) -> Edition:
    """Return the edition of ISO 14253-1 a decision rule names; the newest where it names none.

    >>> edition_of("ISO 14253-1:2013, guard band U"), edition_of("")
    ('2013', '2017')
    """
    for edition in ("2013", "1998"):
        if f"14253-1:{edition}" in rule.replace(" :", ":"):
            return edition
    return "2017"


def _verdict(asked: Asked, result: Measured, edition: Edition) -> ResultVerdict:
    wrong = _other_state(asked, result)
    if wrong:
        return _not_judged(asked, result, wrong)
    if result.value is None:
        if not result.attribute:
            return _not_judged(asked, result, "there is neither a value nor a yes or no")
        good = result.attribute in _GOOD
        plain: Plain = "inside" if good else "outside"
        words = f"{result.attribute} by {result.gauge or 'judgement'}"
        return ResultVerdict(result, asked, plain, "by gauge", None, False, None, None, words,
                             "" if good else WHAT_TO_DO["failed"])  # fmt: skip
    if asked.limits is None:
        return _not_judged(
            asked, result, asked.why_not or "it is judged by yes and no; a value alone says nothing"
        )
    limits, value = asked.limits, result.value
    plain = "inside" if limits.lower_mm <= value <= limits.upper_mm else "outside"
    uncertainty, assumed = result.uncertainty, False
    if uncertainty is None:
        uncertainty, assumed = _usual(asked, value), True
    shown = f"{value} is {plain} {_limits(asked)}"
    if uncertainty is None:
        return ResultVerdict(
            result, asked, plain, "no uncertainty", None, False, None, None,
            f"{shown}; no uncertainty is stated, so nothing is proven",
            "ask for the uncertainty of the measurement",
        )  # fmt: skip
    found = judge(value, limits, uncertainty, edition)
    proof: Proof = {
        "conforms": "conforms, proven",
        "does not conform": "does not conform, proven",
        "neither": "neither proven",
    }[found.decision]  # type: ignore[assignment]
    guard = guard_band_mm(uncertainty, edition)
    source = f"usual for a {asked.means.name}, assumed" if assumed and asked.means else "as stated"
    words = f"{shown}; {proof} (U {uncertainty} {asked.unit} {source}, guard band {guard})"
    to_do = ""
    if proof == "neither proven":
        better = needed_uncertainty(value, limits, edition)
        to_do = to_measure_again(better, asked.unit)
    elif proof == "does not conform, proven":
        to_do = WHAT_TO_DO["failed"]
    return ResultVerdict(
        result, asked, plain, proof, uncertainty, assumed, guard, found.probability, words, to_do
    )


def _usual(asked: Asked, value: Decimal) -> Decimal | None:
    """The usual expanded uncertainty of the usual means; common practice, no source."""
    if asked.unit == "mm":
        return asked.means.uncertainty_mm if asked.means is not None else None
    if asked.unit == "µm":
        return abs(value) * _TEXTURE_SHARE
    return _ANGLE_DEG if asked.unit == "°" else None


def _limits(asked: Asked) -> str:
    assert asked.limits is not None
    low, high = asked.limits.lower_mm, asked.limits.upper_mm
    if high.is_infinite():
        return f"{low} {asked.unit} or more"
    return f"{low} to {high} {asked.unit}"


def _not_judged(asked: Asked, result: Measured, why: str) -> ResultVerdict:
    return ResultVerdict(
        result, asked, "not judged", "", None, False, None, None, f"not judged: {why}",
        "have it measured as asked",
    )  # fmt: skip


def _other_state(asked: Asked, result: Measured) -> str:
    """A size that holds after coating says nothing measured before it, and the other way."""
    holds = asked.callout.coating
    if holds and result.state and holds != result.state:
        return f"measured {result.state} coating, and the limits hold {holds} it"
    return ""


def _missing(asked: Asked, results: Sequence[Measured], pieces: Sequence[int]) -> str:
    have = {(one.piece, one.instance) for one in results}
    if not have:
        return "no result at all"
    wanted = {(p, i) for p in pieces for i in range(1, asked.times + 1)}
    lacking = len(wanted - have)
    return f"{lacking} of {len(wanted)} results" if lacking else ""
