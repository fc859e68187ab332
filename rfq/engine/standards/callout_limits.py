"""Limits of any callout that has a pair: from ISO 286, as written, or by general tolerance."""

from __future__ import annotations

from decimal import Decimal

from rfq.engine.standards import iso286, iso2768
from rfq.engine.standards.limits import Limits, NoSuchZone, NotDefined
from rfq.model.spec import Bound, Chamfer, Fit, Geometric, Radius, Size, Spec, Thread
from rfq.problems import Place, Problem, Reading

_ENDLESS = Decimal("Infinity")


def limits_of(
    spec: Spec,
    general_tolerance: str = "",
    place: Place = Place(),  # noqa: B008 - frozen
) -> Reading[Limits]:
    """Limits in mm of a size, fit, radius, chamfer or geometrical tolerance.

    A geometrical tolerance gives 0 to its value. A thread has several limits: see ``threads``.

    Args:
        spec: as read. general_tolerance: the part's note, such as 'ISO 2768-mK', for sizes
            without deviations. place: where the callout stands.
    Problems: T001 kin come from ``iso2768``; here T002 no such zone, T003 not in our table, T004 no
        deviations and no general tolerance that has one, T005 stated deviations differ from the
        table (stop), T006 nothing of it has limits of size.

    >>> from rfq.model.callout import parse_callout
    >>> found = limits_of(parse_callout("42 H7").get()).get()
    >>> found.lower_mm, found.upper_mm
    (Decimal('42.000'), Decimal('42.025'))
    >>> limits_of(parse_callout("30").get(), "ISO 2768-mK").get().upper_mm
    Decimal('30.2')
    >>> print(limits_of(parse_callout("30").get()).problems[0])
    30 has no deviations and the part states no general tolerance; write for example 'ISO 2768-m'.
    """
    try:
        return _limits(spec, general_tolerance, place)
    except NoSuchZone as missing:
        return _no("T002", str(missing), place)
    except NotDefined as missing:
        return _no("T003", str(missing), place)


def _limits(spec: Spec, general: str, place: Place) -> Reading[Limits]:
    match spec:
        case Fit():
            return _fit(spec, place)
        case Size():
            return _plain(
                spec.nominal, spec.upper, spec.lower, spec.bound, general, "linear", place
            )
        case Radius():
            return _plain(spec.nominal, spec.upper, spec.lower, spec.bound, general, "edge", place)
        case Chamfer():
            return _plain(spec.size_mm, spec.upper, spec.lower, "", general, "edge", place)
        case Geometric():
            return Reading(
                Limits(Decimal(0), spec.value_mm, f"ISO 1101 {spec.characteristic}", Decimal(0))
            )
        case _:
            kind = "thread" if isinstance(spec, Thread) else type(spec).__name__.lower()
            return _no("T006", f"A {kind} has no pair of limits of size.", place)


def _fit(spec: Fit, place: Place) -> Reading[Limits]:
    found = iso286.limits(spec.nominal, spec.zone, spec.grade)
    if spec.stated_upper is not None and spec.stated_lower is not None:
        stated = (spec.nominal + spec.stated_lower, spec.nominal + spec.stated_upper)
        if stated != (found.lower_mm, found.upper_mm):
            upper, lower = (
                f"{deviation / 1000:+}"
                for deviation in (found.upper_deviation_um, found.lower_deviation_um)
            )
            return _no(
                "T005",
                f"{spec.nominal} {spec.zone}{spec.grade} is {upper}/{lower} in ISO 286, but "
                f"{spec.stated_upper:+}/{spec.stated_lower:+} is written beside it; one is wrong.",
                place,
            )
    return Reading(found)


def _plain(
    nominal: Decimal,
    upper: Decimal | None,
    lower: Decimal | None,
    bound: Bound,
    general: str,
    kind: iso2768.Kind,
    place: Place,
) -> Reading[Limits]:
    if bound == "max":
        return Reading(Limits(Decimal(0), nominal, "greatest size as written", nominal))
    if bound == "min":
        return Reading(Limits(nominal, _ENDLESS, "least size as written", nominal))
    if upper is not None and lower is not None:
        return Reading(Limits(nominal + lower, nominal + upper, "deviations as written", nominal))
    statement = iso2768.read_statement(general)
    if statement is None or not statement.linear:
        said = f"'{general}' gives none" if general else "the part states no general tolerance"
        return _no(
            "T004",
            f"{nominal} has no deviations and {said}; write for example 'ISO 2768-m'.",
            place,
        )
    return Reading(iso2768.limits(nominal, statement.linear, kind))


def _no(code: str, message: str, place: Place) -> Reading[Limits]:
    return Reading(None, (Problem(code, message, place),))
