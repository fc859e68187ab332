"""Finishes: which exist, how much they build up, what they cost, and where they go wrong.

Numbers and sources stand in ``finish_tables``. Build-up is geometry: a coating of thickness t of
which the share g grows outwards changes a shaft by +2 g t, a bore by -2 g t and the pitch
diameter of a 60° thread by 4 g t (2 g t / sin 30°).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from rfq.engine.standards.finish_tables import (
    ALIASES,
    CAUTIONS,
    CLASSES_UM,
    RANGES_UM,
    ROWS,
)
from rfq.engine.standards.limits import Limits
from rfq.engine.standards.materials import Material
from rfq.problems import Place, Problem, Reading, Severity

Triple = tuple[float, float, float]
Feature = Literal["bore", "shaft", "internal thread", "external thread"]
#: Change of a size per micrometre of growth on one surface.
FEATURE_FACTOR: dict[str, int] = {
    "bore": -2,
    "shaft": 2,
    "internal thread": -4,
    "external thread": 4,
}


@dataclass(frozen=True, slots=True)
class Finish:
    """One finish; triples are low, typical, high.

    Args:
        name, standard: as printed. families: beginnings of the material families that take it.
        thickness_um: thickness. growth: share of it that grows outwards, per surface.
        lot_minimum_eur, eur_per_dm2, rack_eur, mask_eur: prices (common practice).
        lead_days: low, high, working days.
        classes_um: least thickness by class. ranges_um: thickness by standard type.
        cautions: what to mind. aliases: other names.
    """

    name: str
    standard: str
    families: tuple[str, ...]
    thickness_um: Triple
    growth: Triple
    lot_minimum_eur: Triple
    eur_per_dm2: Triple
    rack_eur: Triple
    mask_eur: Triple
    lead_days: tuple[int, int]
    classes_um: dict[str, float]
    ranges_um: dict[str, tuple[float, float]]
    cautions: tuple[str, ...]
    aliases: tuple[str, ...]

    @property
    def builds_up(self) -> bool:
        """Whether it changes sizes at all."""
        return any(share != 0 for share in self.growth) and self.thickness_um[2] > 1


def _load() -> dict[str, Finish]:
    found: dict[str, Finish] = {}
    for line in ROWS.strip().splitlines():
        cells = [cell.strip() for cell in line.split("|")]
        name, standard, families = cells[:3]
        triples = [_three(cell) for cell in cells[3:9]]
        first, last = (int(day) for day in cells[9].split())
        found[name] = Finish(
            name,
            standard,
            tuple(families.split()),
            thickness_um=triples[0],
            growth=triples[1],
            lot_minimum_eur=triples[2],
            eur_per_dm2=triples[3],
            rack_eur=triples[4],
            mask_eur=triples[5],
            lead_days=(first, last),
            classes_um=CLASSES_UM.get(name, {}),
            ranges_um=RANGES_UM.get(name, {}),
            cautions=CAUTIONS.get(name, ()),
            aliases=tuple(alias.strip() for alias in ALIASES[name].split(",")),
        )
    return found


def _three(cell: str) -> Triple:
    low, typical, high = (float(number) for number in cell.split())
    return low, typical, high


#: Every finish by name, in the order of the table.
FINISHES: dict[str, Finish] = _load()


def _plain(text: str) -> str:
    return re.sub(r"[\s\-_]+", " ", text.casefold()).strip()


_BY_NAME: dict[str, str] = {}
for _finish in FINISHES.values():
    for _name in (_finish.name, *_finish.aliases):
        _BY_NAME[_plain(_name)] = _finish.name


def find(text: str, place: Place = Place()) -> Reading[Finish]:  # noqa: B008 - frozen
    """The finish of a name as people write it ('clear anodize AA15', 'hard anodised').

    Problems: T060 unknown finish.

    >>> find("Hard Anodise").get().name, find("black anodized").get().name
    ('hard anodise', 'anodise')
    >>> find("chrome").problems[0].code
    'T060'
    """
    plain = _plain(text)
    if plain in _BY_NAME:
        return Reading(FINISHES[_BY_NAME[plain]])
    # the longest known name inside the text wins: 'hard anodise' before 'anodise'
    for name in sorted(_BY_NAME, key=len, reverse=True):
        if re.search(rf"\b{re.escape(name)}\b", plain):
            return Reading(FINISHES[_BY_NAME[name]])
    message = f"'{text[:60]}' is no finish we know; we know {', '.join(FINISHES)}."
    return Reading(None, (Problem("T060", message, place),))


def size_change_um(feature: Feature, thickness_um: float, growth: float) -> float:
    """Change of a diameter (thread: pitch diameter) by a coating, um.

    Args:
        feature: bore, shaft, internal thread or external thread.
        thickness_um: coating thickness. growth: share that grows outwards, per surface.
    Source: geometry; see the module.

    >>> size_change_um("bore", 25, 0.5), size_change_um("external thread", 25, 0.5)
    (-25.0, 50.0)
    """
    return FEATURE_FACTOR[feature] * growth * thickness_um


def before_coating(
    after: Limits,
    feature: Feature,
    thickness_um: tuple[float, float],
    growth: tuple[float, float],
) -> Limits | None:
    """The limits to machine to, so that the coated part lies within ``after``; None if none are.

    Args:
        after: limits asked after coating.
        feature: what is coated.
        thickness_um: least and greatest thickness. growth: least and greatest share.
    Source: geometry, worst case of thickness and growth together.

    >>> bore = Limits(Decimal(42), Decimal("42.025"), "42 H7", Decimal(42))
    >>> found = before_coating(bore, "bore", (10, 14), (0.5, 0.5))
    >>> found.lower_mm, found.upper_mm
    (Decimal('42.0140'), Decimal('42.0350'))
    >>> before_coating(bore, "bore", (40, 60), (0.4, 0.6)) is None
    True
    """
    least, most = sorted(
        (
            size_change_um(feature, thickness_um[0], growth[0]),
            size_change_um(feature, thickness_um[1], growth[1]),
        )
    )
    lower = after.lower_mm - _mm(least)
    upper = after.upper_mm - _mm(most)
    if lower > upper:
        return None
    return Limits(lower, upper, f"{after.basis}, before coating", after.nominal_mm)


def _mm(um: float) -> Decimal:
    return (Decimal(repr(um)) / 1000).quantize(Decimal("0.0001"))


def check_build_up(
    after: Limits, feature: Feature, finish: Finish, thickness_um: float | None = None
) -> tuple[Problem, ...]:
    """Whether a finish eats a tolerance, when nothing says before or after coating.

    Args:
        after: limits of the feature. feature: what it is. finish: the finish.
        thickness_um: stated thickness; None takes the usual range.
    Problems: T061 build-up above the whole tolerance (stop), T062 above a third (ask).

    >>> nickel = find("electroless nickel").get()
    >>> m3 = Limits(Decimal("2.675"), Decimal("2.775"), "M3-6H pitch diameter", Decimal(3))
    >>> [problem.code for problem in check_build_up(m3, "internal thread", nickel, 25)]
    ['T061']
    >>> check_build_up(m3, "internal thread", find("passivate").get())
    ()
    """
    if not finish.builds_up:
        return ()
    thickness = thickness_um if thickness_um is not None else finish.thickness_um[1]
    change = abs(size_change_um(feature, thickness, finish.growth[1]))
    width = float(after.width_mm) * 1000
    if change * 3 <= width:
        return ()
    whole = change >= width
    message = (
        f"{finish.name} of {thickness:g} um changes {feature} by about {change:.0f} um, "
        f"{'all' if whole else 'more than a third'} of its tolerance of {width:.0f} um; say before "
        "or after coating, or mask it."
    )
    return (
        Problem(
            "T061" if whole else "T062",
            message,
            severity=Severity.STOP if whole else Severity.ASK,
            why="The shop machines to the drawing, the finisher adds the coating: it won't fit.",
        ),
    )


def alloy_class(material: Material) -> str:
    """Class of ISO 10074 of an aluminium alloy ('1', '2a', '2b', '3a', '3b'); '' for others.

    Source: ISO 10074, from memory.

    >>> from rfq.engine.standards.materials import find as find_material
    >>> [alloy_class(find_material(name).get()) for name in ("6082", "2024", "7075", "5083")]
    ['1', '2a', '2b', '2b']
    """
    if not material.family.startswith("aluminium"):
        return ""
    if material.family != "aluminium wrought":
        return "3a" if material.designation == "EN AC-42100" else "3b"
    series = re.sub(r"\D", "", material.designation)[:1]
    return {"2": "2a", "5": "2b", "7": "2b"}.get(series, "1")


def check_finish(
    finish: Finish, material: Material, *, temper: str = "", loaded: bool = False
) -> tuple[Problem, ...]:
    """Whether a finish goes on a material, and what to mind.

    Args:
        finish, material: as found. temper: as stated. loaded: carries load, pressure or people.
    Problems: T063 not on this material (stop), T064 the alloy takes it badly (ask), T065 hydrogen
        embrittlement (ask), T066 fatigue (ask), T067 special bath (note).

    >>> from rfq.engine.standards.materials import find as find_material
    >>> hard = find("hard anodise").get()
    >>> [p.code for p in check_finish(hard, find_material("2024").get())]
    ['T064']
    >>> [p.code for p in check_finish(hard, find_material("42CrMo4").get())]
    ['T063']
    """
    name = material.designation
    if not any(material.family.startswith(start) for start in finish.families):
        takes = ", ".join(finish.families)
        return (Problem("T063", f"{finish.name} does not go on {name}; it is for {takes}."),)
    problems: list[Problem] = []
    if finish.name == "hard anodise" and alloy_class(material) in ("2a", "3b"):
        problems.append(
            Problem(
                "T064",
                f"{name} takes hard anodising badly (class {alloy_class(material)} of ISO 10074); "
                "6000 series alloys take it well.",
                severity=Severity.ASK,
                why="Copper and silicon leave a thin, soft or uneven layer; ask the finisher.",
            )
        )
    if finish.name == "anodise" and alloy_class(material) in ("3a", "3b"):
        problems.append(
            Problem(
                "T064",
                f"{name} anodises dull and uneven (silicon); a decorative finish needs a wrought "
                "alloy.",
                severity=Severity.ASK,
            )
        )
    if finish.name in ("zinc", "electroless nickel") and _high_strength(material, temper):
        problems.append(
            Problem(
                "T065",
                f"{finish.name} on {name}: steel of 1000 MPa and more may turn brittle from "
                "hydrogen; ask for baking and the responsible engineer's consent.",
                severity=Severity.ASK,
                why="Delayed cracking under load, without warning.",
            )
        )
    if finish.name == "hard anodise" and loaded:
        problems.append(
            Problem(
                "T066",
                "Hard anodising lowers the fatigue strength of a loaded part; the responsible "
                "engineer has to agree.",
                severity=Severity.ASK,
            )
        )
    if finish.name == "passivate" and material.designation == "1.4305":
        problems.append(
            Problem(
                "T067",
                f"{name} is free-machining: it needs its own passivation bath or is etched.",
                severity=Severity.NOTE,
            )
        )
    return tuple(problems)


def _high_strength(material: Material, temper: str) -> bool:
    """Steels that may reach 1000 MPa; a hint, since the strength itself is not stated."""
    if material.family in ("tool steel hardened", "stainless PH"):
        return True
    return material.family == "steel alloy" and temper.upper() not in ("+A", "+N")
