"""Materials: found by any of their names, with cutting data, price, forms, tempers, cautions.

The numbers stand in ``material_tables``, forms and tempers in ``material_stock``; each table
names its source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from difflib import get_close_matches

from rfq.engine.standards.material_stock import OFFERS, FormOffer
from rfq.engine.standards.material_tables import (
    ALIASES,
    KC_HIGH_SHARE,
    KC_LOW_SHARE,
    KC_RANGE,
    NOTES,
    ROWS,
)
from rfq.model.codes import StockForm
from rfq.problems import Place, Problem, Reading, Severity


@dataclass(frozen=True, slots=True)
class Material:
    """One material; three numbers in a row are low, typical, high.

    Args:
        designation: the name we print.
        listed_as: name with the usual temper; '' when not in the first list.
        standard: product standards by form, in one line.
        family: 'aluminium wrought', 'steel carbon', 'plastic', ...
        iso513_group: N, P, M, S, H (plastics lie outside ISO 513 and run as N).
        density_kg_m3: kg/m3.
        kc11_N_mm2, mc: specific cutting force at 1 mm chip and its exponent; kc11_range low, high.
        vc_rough_*, vc_finish_typ: cutting speed m/min. fz_*: feed per tooth mm.
        price_eur_kg_*: EUR/kg, cut to size. scrap_return_fraction: of the price; scrap_range.
        source_note: where the numbers come from.
        aliases: other names. forms: what it is sold as.
    """

    designation: str
    listed_as: str
    standard: str
    family: str
    iso513_group: str
    density_kg_m3: float
    kc11_N_mm2: float
    mc: float
    kc11_range: tuple[float, float]
    vc_rough_lo: float
    vc_rough_typ: float
    vc_rough_hi: float
    fz_lo: float
    fz_typ: float
    fz_hi: float
    vc_finish_typ: float
    price_eur_kg_lo: float
    price_eur_kg_typ: float
    price_eur_kg_hi: float
    scrap_return_fraction: float
    scrap_range: tuple[float, float]
    source_note: str
    aliases: tuple[str, ...]
    forms: tuple[FormOffer, ...]

    @property
    def metallic(self) -> bool:
        """Whether it is a metal (certificates of EN 10204 are for metals only)."""
        return not self.family.startswith("plastic")

    @property
    def printed(self) -> bool:
        """Whether it is a powder for printing."""
        return self.family.endswith("printed")

    @property
    def tempers(self) -> tuple[str, ...]:
        """Every temper it has in any form, in the order of the forms."""
        seen = dict.fromkeys(temper for offer in self.forms for temper in offer.tempers)
        return tuple(seen)

    @property
    def cautions(self) -> tuple[str, ...]:
        """What to mind when it is cut or chosen; a note, no safety instruction."""
        return tuple(
            text
            for start, text in CAUTIONS
            if self.family.startswith(start) or start in self.aliases
        )


#: Cautions by beginning of the family. Common practice; chip fires also in E. Isakov, Tackling
#: Titanium (2009), seen. They name the hazard; the shop works to its local codes.
CAUTIONS: tuple[tuple[str, str], ...] = (
    (
        "titanium",
        "Titanium chips and fine dust burn, and water makes it worse: the shop needs a class D "
        "extinguisher, plenty of coolant and separate chip bins; it works to its local codes.",
    ),
    (
        "aluminium",
        "Fine aluminium dust can explode and must not meet titanium, magnesium or steel grinding "
        "dust; the shop works to its local codes.",
    ),
    (
        "aluminium printed",
        "Metal powder is an explosive and harmful dust: printing belongs in a shop equipped for "
        "it.",
    ),
    (
        "titanium printed",
        "Metal powder is an explosive and harmful dust: printing belongs in a shop equipped for "
        "it.",
    ),
    (
        "stainless printed",
        "Metal powder is a harmful dust: printing belongs in a shop equipped for it.",
    ),
    (
        "brass free-cutting",
        "Contains lead: check RoHS and REACH, and drinking-water rules, before it is ordered.",
    ),
    (
        "nickel alloy",
        "Nickel (and cobalt) in contact with skin can cause allergy; grinding dust is harmful.",
    ),
    (
        "steel alloy",
        "Electroplating steel of 1000 MPa and more can make it brittle (hydrogen): baking and the "
        "responsible engineer's consent.",
    ),
    (
        "tool steel hardened",
        "Hardened steel is ground or hard-milled; plating needs baking against hydrogen "
        "embrittlement.",
    ),
    ("plastic", "Moves with heat and moisture: tight limits need a temperature and a state."),
)

_PRICE_NOTE = "price and scrap from memory (common practice; small cut lots, EU, 2024-26)"


def _three(cell: str) -> tuple[float, float, float]:
    low, typical, high = (float(number) for number in cell.split())
    return low, typical, high


def _load() -> dict[str, Material]:
    found: dict[str, Material] = {}
    for line in ROWS.strip().splitlines():
        cells = [cell.strip() for cell in line.split("|")]
        name, listed, family, group, density, kc, vc, fz, finish, price, scrap = cells
        kc11, mc = (float(x) for x in kc.split())
        vc3, fz3, price3, scrap3 = (_three(cell) for cell in (vc, fz, price, scrap))
        offers = OFFERS[name]
        found[name] = Material(
            designation=name,
            listed_as=listed,
            standard=" / ".join(dict.fromkeys(offer.standard for offer in offers)),
            family=family,
            iso513_group=group,
            density_kg_m3=float(density),
            kc11_N_mm2=kc11,
            mc=mc,
            kc11_range=KC_RANGE.get(
                name, (round(kc11 * KC_LOW_SHARE, 1), round(kc11 * KC_HIGH_SHARE, 1))
            ),
            vc_rough_lo=vc3[0],
            vc_rough_typ=vc3[1],
            vc_rough_hi=vc3[2],
            fz_lo=fz3[0],
            fz_typ=fz3[1],
            fz_hi=fz3[2],
            vc_finish_typ=float(finish),
            price_eur_kg_lo=price3[0],
            price_eur_kg_typ=price3[1],
            price_eur_kg_hi=price3[2],
            scrap_return_fraction=scrap3[1],
            scrap_range=(scrap3[0], scrap3[2]),
            source_note=f"{NOTES[name]}; {_PRICE_NOTE}",
            aliases=tuple(alias.strip() for alias in ALIASES[name].split(",")),
            forms=offers,
        )
    return found


#: Every material by designation, in the order of the table.
MATERIALS: dict[str, Material] = _load()


def _plain(text: str) -> str:
    """A name without what people leave out: case, blanks, dashes, prefixes."""
    text = re.sub(r"^(en)?\s*-?\s*(aw|ac)\s*-?\s*", "", text.strip().casefold())
    text = re.sub(r"^(aisi|w\.?\s?nr\.?|wnr|alu(minium)?|al)\s+", "", text)
    return re.sub(r"[\s\-_/()]", "", text)


_BY_NAME: dict[str, str] = {}
for _material in MATERIALS.values():
    for _name in (_material.designation, *_material.aliases):
        _BY_NAME[_plain(_name)] = _material.designation

#: Names with their usual temper, which ``split_designation`` must still take apart.
_LISTED = {_plain(found.listed_as): found.designation for found in MATERIALS.values()}
_LISTED.pop("", None)

_TEMPER = re.compile(
    r"^(?P<alloy>.*?\S)\s*[-\s/+,]\s*(?P<temper>(?:T\d{1,5}|H\d{2,4}|O|F|R\d{3}|H9\d\d)"
    r"(?:\s*/\s*[TH]\d{1,5})?|\+?(?:QT|AT|AR|SH|FP|N|A|C|U)|annealed|STA|aged|hardened|"
    r"P\d{3,4}|C\d{3}|HIP)$",
    re.IGNORECASE,
)


#: Heat-treatment signs that steels carry behind a plus.
_PLUS = ("QT", "AT", "AR", "SH", "FP", "N", "A", "C", "U")


def split_designation(text: str) -> tuple[str, str]:
    """Alloy and temper of what people type; the temper is '' when none is written.

    >>> split_designation("EN AW-6082-T651"), split_designation("7075 T7351")
    (('EN AW-6082', 'T651'), ('7075', 'T7351'))
    >>> split_designation("42CrMo4+QT"), split_designation("Ti-6Al-4V"), split_designation("POM-C")
    (('42CrMo4', '+QT'), ('Ti-6Al-4V', ''), ('POM-C', ''))
    """
    text = " ".join(text.split())
    if _plain(text) in _BY_NAME:
        return text, ""
    found = _TEMPER.match(text)
    if not found:
        return text, ""
    temper = found["temper"]
    if "+" in text and temper.upper() in _PLUS:
        temper = f"+{temper.upper()}"
    return found["alloy"].rstrip(" +-"), temper


def find(designation: str, place: Place = Place()) -> Reading[Material]:  # noqa: B008 - frozen
    """The material of a designation, number, short form or alias, with or without temper.

    Args:
        designation: as typed: '6082', 'EN AW-6082-T651', '3.2315', '316L', 'Grade 5', 'acetal'.
        place: where it stands.
    Problems: T010 unknown material, with the nearest names.

    >>> find("6082").get().designation, find("3.2315").get().designation
    ('EN AW-6082', 'EN AW-6082')
    >>> find("Titanium Grade 5").get().designation, find("en aw 7075 t6").get().designation
    ('Ti-6Al-4V', 'EN AW-7075')
    >>> print(find("6028").problems[0])
    '6028' is no material we know; the nearest is EN AW-6082.
    """
    for text in (designation, split_designation(designation)[0]):
        name = _BY_NAME.get(_plain(text)) or _LISTED.get(_plain(text))
        if name is not None:
            return Reading(MATERIALS[name])
    # '1.4301 (304)' and 'C45 / C45E': every name that is known must mean the same material.
    pieces = [piece.strip() for piece in re.split(r"[/()]", designation) if piece.strip()]
    names = {
        _BY_NAME[plain]
        for piece in pieces
        for text in (piece, split_designation(piece)[0])
        if (plain := _plain(text)) in _BY_NAME
    }
    if len(names) == 1:
        return Reading(MATERIALS[names.pop()])
    near = suggest(designation)
    message = f"'{designation[:60]}' is no material we know; " + (
        f"the nearest {'are' if len(near) > 1 else 'is'} {' and '.join(near)}."
        if near
        else "write for example 'EN AW-6082', '1.4404' or 'POM-C'."
    )
    return Reading(None, (Problem("T010", message, place),))


def suggest(designation: str, count: int = 2) -> tuple[str, ...]:
    """The nearest known designations, best first.

    >>> suggest("42CrMo5")
    ('42CrMo4',)
    """
    plain = _plain(split_designation(designation)[0])
    near = get_close_matches(plain, _BY_NAME, n=count + 3, cutoff=0.6)
    return tuple(dict.fromkeys(_BY_NAME[name] for name in near))[:count]


def check_stock(
    material: Material, temper: str = "", form: StockForm | str = "", thickness_mm: float = 0
) -> tuple[Problem, ...]:
    """Whether alloy, temper, form and thickness exist together.

    Args:
        material: as found. temper: 'T651', '+QT', ...; '' when not said.
        form: stock form or ''. thickness_mm: thickness or diameter; 0 when not said.
    Problems: T011 the alloy has no such temper (stop), T012 the form does not come in it (ask),
        T013 not sold in that form (ask), T014 thicker than usual (ask), T015 a temper where
        there is none (stop), T016 an age-hardening alloy without temper (ask).
    Source: product standards from memory; see ``material_stock``.

    >>> al = find("6082").get()
    >>> check_stock(al, "T651", "plate", 40)
    ()
    >>> print(check_stock(al, "T7351", "plate")[0])
    EN AW-6082 has no temper T7351; EN AW-7075 has it. EN AW-6082 plate comes in O, T4, T451, T6, \
T651, T61, T6151 or T62.
    """
    if form and form not in [offer.form for offer in material.forms]:
        sold = _or(tuple(dict.fromkeys(offer.form for offer in material.forms)))
        return (
            Problem(
                "T013",
                f"{material.designation} as {form} is not in our list; it is sold as {sold}.",
                severity=Severity.ASK,
                why="A form nobody stocks becomes a special order or another material.",
            ),
        )
    offers = tuple(offer for offer in material.forms if offer.form == form)
    usual = offers[0].tempers if offers else material.tempers
    what = f"{material.designation} {form}".strip()
    if temper and not material.tempers:
        return (Problem("T015", f"{material.designation} has no tempers; leave out '{temper}'."),)
    problems = list(_temper_problems(material, temper, offers, usual, what))
    if thickness_mm and offers and thickness_mm > offers[0].thickest_mm:
        problems.append(
            Problem(
                "T014",
                f"{what} is usual up to {offers[0].thickest_mm:g} mm; {thickness_mm:g} mm has to "
                "be asked for.",
                severity=Severity.ASK,
            )
        )
    return tuple(problems)


def _temper_problems(
    material: Material,
    temper: str,
    offers: tuple[FormOffer, ...],
    usual: tuple[str, ...],
    what: str,
) -> tuple[Problem, ...]:
    if not temper:
        if material.family.startswith(
            ("aluminium wrought", "stainless PH")
        ) or material.designation in ("42CrMo4",):
            return (
                Problem(
                    "T016",
                    f"No temper is given for {what}; it comes in {_or(usual)}.",
                    severity=Severity.ASK,
                    why="Strength, price and how the part moves in machining depend on it.",
                ),
            )
        return ()
    known = {_plain_temper(name) for name in usual}
    wanted = [_plain_temper(part) for part in temper.split("/") if part.strip()]
    if all(part in known for part in wanted):
        return ()
    if offers and all(part in {_plain_temper(t) for t in material.tempers} for part in wanted):
        return (
            Problem(
                "T012",
                f"{what} does not come in {temper}, which belongs to another form; it comes in "
                f"{_or(usual)}.",
                severity=Severity.ASK,
                why="Plate is stretched (T651), extruded bar is T6 or T6511: it must exist.",
            ),
        )
    others = [
        other.designation
        for other in MATERIALS.values()
        if other is not material
        and other.family == material.family
        and all(part in {_plain_temper(t) for t in other.tempers} for part in wanted)
    ]
    has_it = (
        f"{_or(tuple(others[:2]), 'and')} {'have' if len(others) > 1 else 'has'} it. "
        if others
        else ""
    )
    return (
        Problem(
            "T011",
            f"{material.designation} has no temper {temper}; {has_it}{what} comes in {_or(usual)}.",
        ),
    )


def _plain_temper(text: str) -> str:
    return re.sub(r"[\s+\-]", "", text).casefold()


def _or(names: tuple[str, ...], word: str = "or") -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} {word} {names[-1]}"
