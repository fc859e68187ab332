"""Signs are drawn, their values stand beside them as text, and nothing draws over its neighbour."""

from __future__ import annotations

from datetime import UTC, datetime

import pypdfium2
import pytest

from rfq.documents.limits import General, state
from rfq.documents.look import Running, Sheet
from rfq.documents.symbols import SIGNS, shown
from rfq.documents.tables import Column, Row, table
from rfq.model.callout import Callout, parse_callout
from rfq.model.series import CHARACTERISTICS


def sheet() -> Sheet:
    return Sheet(paper="A4", title="t", running=Running("t"), when=datetime(2026, 7, 6, tzinfo=UTC))


def drawn(text: str, **more: object) -> tuple[str, int]:
    """Text and number of paths of one callout in a table of its own."""
    callout = Callout(number="1", text=text, **more)  # type: ignore[arg-type]
    page = sheet()
    cell = shown(callout, callout.spec.value, 90)
    table(page, (Column("x", 1),), [Row([cell])], width=110)
    with pypdfium2.PdfDocument(page.finish()) as pdf:
        words = pdf[0].get_textpage().get_text_range()
        paths = [one for one in pdf[0].get_objects() if one.type == pypdfium2.raw.FPDF_PAGEOBJ_PATH]
        return " ".join(words.split()), len(paths)


def test_each_characteristic_of_iso_1101_has_its_sign() -> None:
    assert set(SIGNS) == set(CHARACTERISTICS)
    nothing = drawn("25")[1]
    for name in SIGNS:
        datum = "" if name in ("straightness", "flatness", "roundness", "cylindricity") else " A"
        words, paths = drawn(f"{name} 0.05{datum}")
        assert "0.05" in words
        assert paths > nothing + 1, name


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("position Ø0.2 (M) A B(M)", ("Ø0.2", "M", "A", "B")),
        ("4x M6-6H x 12", ("4x M6-6H x 12",)),
        ("Ra 0.8", ("Ra 0.8",)),
        ("Rzmax 4", ("Rzmax 4",)),
        ("edge -0.3", ("-0.3",)),
        ("outside edge -0.1/-0.3", ("-0.1 / -0.3 outside",)),
        ("datum B", ("B",)),
        ("Ø42 H7 (E)", ("Ø42 H7", "E")),
        ("2x 25 ±0.05", ("2x 25 ±0.05",)),
    ],
)
def test_values_stand_beside_the_sign(text: str, words: tuple[str, ...]) -> None:
    seen = drawn(text)[0]
    for word in words:
        assert word in seen


def test_texture_names_the_edition_it_is_drawn_by() -> None:
    spec = parse_callout("Ra 0.8").get()
    assert spec is not None
    old = state(Callout(number="1", text="Ra 0.8"), General(texture_edition="ISO 1302"))
    new = state(Callout(number="1", text="Ra 0.8"), General(texture_edition="ISO 21920-1"))
    assert "ISO 1302" in old.words and "16 % rule" in old.words
    assert "ISO 21920-1" in new.words and "maximum rule" in new.words


def test_a_callout_nobody_understands_is_printed_as_typed() -> None:
    assert "see detail X (((" in drawn("see detail X (((")[0]
