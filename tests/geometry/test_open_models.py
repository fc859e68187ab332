"""Figures of open STEP models.

Sources: NIST MBE PMI validation models (US Government work) and MFCAD (MIT licence); reference
figures of INDEX.csv, taken with the kernel's own property functions in a separate script, and the
PMI that NIST expects of nist_ctc_01 (its test case definition). NIST says its models are not free
of errors.
"""

from __future__ import annotations

import csv
import json
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest

from rfq.geometry.callouts import candidates
from rfq.geometry.shape import MeasuredShape, as_json, from_json

FILES = [
    "nist_ctc_01_asme1_ap242-e1.stp",
    "nist_ctc_03_asme1_ap242-e2.stp",
    "mfcad_0-3-3-5-19.step",
    "mfcad_6-7-9-9-12-23.step",
]


class Models:
    """Row of the index and measured shape by file name, each measured when first asked for."""

    def __init__(
        self, folder: Path, measure: Callable[..., MeasuredShape], rows: dict[str, dict[str, str]]
    ) -> None:
        self.folder, self.measure, self.rows = folder, measure, rows
        self.measured: dict[str, MeasuredShape] = {}

    def __getitem__(self, name: str) -> tuple[dict[str, str], MeasuredShape]:
        if name not in self.measured:
            self.measured[name] = self.measure(self.folder / name, views="ctc_03" in name)
        return self.rows[name], self.measured[name]


@pytest.fixture(scope="module")
def models(open_data: Path, measure_here: Callable[..., MeasuredShape]) -> Models:
    index = open_data / "step" / "INDEX.csv"
    if not index.is_file():
        pytest.skip("the open STEP models are not among the open data")
    with index.open(encoding="utf-8") as file:
        rows = {row["file"]: row for row in csv.DictReader(file)}
    return Models(open_data / "step", measure_here, rows)


@pytest.mark.parametrize("name", FILES)
def test_sizes_agree_within_a_thousandth_and_counts_exactly(name: str, models: Models) -> None:
    row, shape = models[name]
    assert shape.volume_mm3 == pytest.approx(float(row["volume_mm3"]), rel=1e-3)
    assert shape.area_mm2 == pytest.approx(float(row["area_mm2"]), rel=1e-3)
    # the index measures all geometry of the file; in nist_ctc_03 construction planes reach out
    box = [float(size) for size in row["bbox_mm"].split("x")]
    assert list(shape.file_box_mm) == pytest.approx(box, rel=1e-3)
    if name != "nist_ctc_03_asme1_ap242-e2.stp":
        assert list(shape.box_mm) == pytest.approx(box, rel=1e-3)
    if row["volume_validation_property_in_file"]:
        stated = float(row["volume_validation_property_in_file"])
        assert shape.volume_in_file_mm3 == pytest.approx(stated, rel=1e-4)
    if row["min_concave_r_mm"]:
        least = float(row["min_concave_r_mm"])
        assert shape.smallest_concave_radius_mm == pytest.approx(least, rel=1e-3)
    else:
        assert shape.smallest_concave_radius_mm is None
    counts_are_exact(row, shape)


def counts_are_exact(row: dict[str, str], shape: MeasuredShape) -> None:
    named = {"planar": "plane", "cylindrical": "cylinder", "bspline": "free-form"}
    for column in ("planar", "cylindrical", "cone", "torus", "sphere", "bspline", "other"):
        assert shape.faces(named.get(column, column)) == int(row[column]), column
    assert shape.solids == int(row["solids"])
    assert shape.concave_cylinders == int(row["concave_cyl"])
    assert len(shape.pmi.dimensions) == int(row["pmi_dims"])
    assert len(shape.pmi.tolerances) == int(row["pmi_gtols"])
    assert shape.pmi.datum_records == int(row["pmi_datums"])
    bores: Counter[float] = Counter()
    for bore in shape.bores:
        bores[round(bore.diameter_mm, 3)] += bore.count
    wanted = {float(d): n for d, n in json.loads(row["full_bores_dia_count"]).items()}
    assert len(bores) == len(wanted)
    for diameter, count in wanted.items():
        near = min(bores, key=lambda d, want=diameter: abs(d - want))
        assert near == pytest.approx(diameter, rel=1e-3)
        assert bores[near] == count, diameter


def test_pmi_of_nist_ctc_01_is_complete(models: Models) -> None:
    _, shape = models["nist_ctc_01_asme1_ap242-e1.stp"]
    found = Counter(
        (c.kind, c.value, c.plus, c.minus, c.lower, c.upper) for c in shape.pmi.dimensions
    )
    assert found == Counter(
        {
            ("diameter", 20.0, 0.05, -0.1, None, None): 1,
            ("diameter", 20.0, 0.1, -0.05, None, None): 1,
            ("diameter", 25.0, 0.15, -0.15, None, None): 1,
            ("diameter", 35.0, None, None, 34.8, 35.2): 2,
            ("diameter", 35.0, 0.0, -0.2, None, None): 1,
            ("diameter", 35.0, 0.2, 0.0, None, None): 1,
            ("angle", 60.0, 0.5, -0.5, None, None): 1,
        }
    )
    assert Counter((c.kind, c.value) for c in shape.pmi.tolerances) == Counter(
        {
            ("flatness", 0.2): 1,
            ("position", 0.75): 2,
            ("profile of surface", 1.25): 1,
            ("profile of surface", 0.5): 1,
            ("perpendicularity", 1.5): 1,
        }
    )
    assert shape.pmi.datums == ("A", "B", "C")
    assert shape.pmi.not_understood == ()


@pytest.mark.parametrize("name", FILES[:2])
def test_every_candidate_has_a_short_form_that_reads_back(name: str, models: Models) -> None:
    _, shape = models[name]
    proposed = candidates(shape)
    assert len(proposed) == len(shape.pmi.candidates) + len(shape.pmi.datums)
    assert [c.text for c in proposed if c.found is None] == [f"datum {x}" for x in shape.pmi.datums]
    assert [c.refused for c in proposed if not c.text] == []
    callout = proposed[0].as_callout("7")
    assert callout.number == "7"
    assert callout.spec.ok


def test_pmi_short_forms_of_nist_ctc_03_carry_zone_condition_and_datums(
    models: Models,
) -> None:
    texts = [c.text for c in candidates(models["nist_ctc_03_asme1_ap242-e2.stp"][1])]
    assert "position Ø1.27 (M) A B(M) C(M)" in texts
    assert "perpendicularity Ø0.254 E" in texts
    assert "Ø15.875 ±0.127" in texts


def test_a_shape_survives_its_json(models: Models) -> None:
    for name in FILES[1:3]:
        _, shape = models[name]
        assert from_json(as_json(shape)) == shape


def test_the_sheet_part_is_thin_and_its_views_have_its_size(models: Models) -> None:
    _, shape = models["nist_ctc_03_asme1_ap242-e2.stp"]
    assert shape.thinnest_wall.thickness_mm == pytest.approx(1.9076, abs=2e-3)
    top = next(view for view in shape.views if view.name == "top")
    assert top.size_mm == pytest.approx(shape.box_mm[:2], rel=1e-3)
