"""What the should-cost needs to know of a material, as parameters with their basis."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from rfq.engine.cost.cutting_table import FAMILIES, PRINTED, FamilyRow, Manner, PrintRow
from rfq.engine.cost.errors import EstimateError
from rfq.engine.cost.spread import Parameter
from rfq.engine.standards import materials
from rfq.model.codes import Basis
from rfq.problems import Place

_PRICE = "from memory: small lots cut to size, EU, 2024-2026"


@dataclass(frozen=True, slots=True)
class CostMaterial:
    """A material as the should-cost sees it.

    Args:
        record: its row in ``rfq.engine.standards.materials``.
        row: how its family is cut.
    """

    record: materials.Material
    row: FamilyRow

    @property
    def designation(self) -> str:
        """Its designation."""
        return self.record.designation

    @property
    def family(self) -> str:
        """First word of its family: aluminium, steel, stainless, titanium, ..."""
        return self.record.family.split()[0]

    @property
    def density_kg_per_m3(self) -> float:
        """Density, kg/m3."""
        return float(self.record.density_kg_m3)

    @property
    def exponent(self) -> float:
        """Kienzle's exponent mc."""
        return float(self.record.mc)

    @property
    def manner(self) -> Manner:
        """How it is cut: easy, steel or tough."""
        return self.row.manner

    @property
    def printed(self) -> CostMaterial | None:
        """The alloy it would be printed in, or None."""
        return cost_material(self.row.printed) if self.row.printed else None

    def parameter(self, name: str) -> Parameter:
        """One of the parameters a material brings (``parameters.MATERIAL_NAMES``)."""
        record, note = self.record, self.record.source_note
        seen = Basis.SOURCE if "seen" in note else Basis.MEMORY
        if name == "unit_force":
            low, high = record.kc11_range
            force = float(record.kc11_N_mm2)
            basis = Basis.SOURCE if "kc" in note and "estimate" not in note else Basis.MEMORY
            return Parameter(name, low, force, high, "N/mm2", "PERT", "", basis, note)
        if name == "cutting_speed":
            low, typical, high = record.vc_rough_lo, record.vc_rough_typ, record.vc_rough_hi
            return Parameter(name, low, typical, high, "m/min", "PERT", "cutting", seen, note)
        if name == "feed_per_tooth":
            low, typical, high = record.fz_lo, record.fz_typ, record.fz_hi
            return Parameter(name, low, typical, high, "mm", "PERT", "cutting", seen, note)
        if name == "finish_speed":
            v = float(record.vc_finish_typ)
            return Parameter(
                name, 0.6 * v, v, 1.2 * v, "m/min", "PERT", "cutting", Basis.MEMORY, note
            )
        if name == "material_price":
            low, typical, high = (
                record.price_eur_kg_lo,
                record.price_eur_kg_typ,
                record.price_eur_kg_hi,
            )
            return Parameter(
                name, low, typical, high, "EUR/kg", "lognormal", "", Basis.MEMORY, _PRICE
            )
        if name == "scrap_return":
            low, high = record.scrap_range
            typical = record.scrap_return_fraction
            return Parameter(name, low, typical, high, "x price", "PERT", "", Basis.MEMORY, _PRICE)
        return self._printing(name)

    def print_row(self) -> PrintRow:
        """Printing data; raises ``EstimateError`` where the family is not printed."""
        row = PRINTED.get(self.family)
        if row is None:
            raise EstimateError(
                "material",
                f"{self.designation} has no printed alloy in our table; aluminium, titanium, "
                "stainless steel and nickel alloys have",
                code="E003",
            )
        return row

    def _printing(self, name: str) -> Parameter:
        row = self.print_row()
        if name == "powder_price":
            return Parameter(
                name,
                *row.powder,
                "EUR/kg",
                "lognormal",
                "",
                Basis.MEMORY,
                "from memory; an older guide, seen, has titanium at 200-400 USD/kg",
            )
        if name == "build_rate":
            return Parameter(
                name,
                *row.rate,
                "cm3/h a laser",
                "PERT",
                "build",
                Basis.PRACTICE,
                "common practice; a seen study puts 26 cm3/h at 2 to 9 times the usual",
            )
        return Parameter(name, *row.layer, "um", "PERT", "", Basis.PRACTICE, "common practice")


@cache
def cost_material(designation: str, subject: str = "") -> CostMaterial:
    """Cost data of a material by any of its usual names.

    Raises:
        EstimateError: the material is unknown (E003); the sentence names near ones.

    >>> cost_material("EN AW-6082 T6").designation, cost_material("3.7165").family
    ('EN AW-6082', 'titanium')
    """
    reading = materials.find(designation)
    if reading.value is None:
        raise EstimateError(
            "material",
            reading.problems[0].message,
            code="E003",
            subject=subject,
            place=Place(path="material"),
        )
    family = reading.value.family
    for words in (family, " ".join(family.split()[:2]), family.split()[0]):
        if words in FAMILIES:
            return CostMaterial(reading.value, FAMILIES[words])
    raise EstimateError(
        "material", f"nothing is known of how {family} is cut", code="E003", subject=subject
    )
