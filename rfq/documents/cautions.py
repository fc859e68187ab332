"""The cautions that go with a part's material and finish, for its data sheet."""

from __future__ import annotations

from functools import lru_cache
from typing import Final

from rfq.documents.look import SMALL, Sheet
from rfq.engine.standards import finishes, materials
from rfq.model.part import Part

LOADED: Final = (
    "This part carries load, pressure or people: a change of material, temper, heat treatment, "
    "finish or tolerance is a proposal until our responsible engineer agrees in writing."
)


def caution_block(sheet: Sheet, part: Part) -> None:
    """Draw a part's cautions; nothing where there are none."""
    found = cautions_of(part)
    if not found:
        return
    sheet.heading("Cautions")
    for text in found:
        sheet.paragraph(text, SMALL, indent=10, hang="•")


def cautions_of(part: Part) -> tuple[str, ...]:
    """Return what to mind with a part, each once, the load first."""
    found = [LOADED] if part.loaded else []
    found += _of_material(part.material)
    for finish in part.finishes:
        found += _of_finish(finish.name)
    return tuple(dict.fromkeys(found))


@lru_cache(maxsize=256)
def _of_material(designation: str) -> tuple[str, ...]:
    material = materials.find(designation).value
    return material.cautions if material is not None else ()


@lru_cache(maxsize=256)
def _of_finish(name: str) -> tuple[str, ...]:
    finish = finishes.find(name).value
    return finish.cautions if finish is not None else ()
