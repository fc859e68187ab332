"""Texture, coatings, materials, delivery terms, sampling and units against their sources.

Rows named RA, RT, RAP, NGR and ANO are check values with the basis said beside them; the tests
that compare whole tables use the optional open data and skip where it is absent.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from itertools import pairwise
from pathlib import Path

import pytest

from rfq.engine.standards import finishes, incoterms, materials, roughness, sampling, units
from rfq.engine.standards.limits import NotInTable
from rfq.model.series import N_GRADES_RA_UM

D = Decimal


def _rows(folder: Path, name: str) -> list[dict[str, str]]:
    with (folder / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


# --- texture --------------------------------------------------------------------------------------


# Rows RA and RT: Ra = f^2/(32 r), Rt = f^2/(8 r); formula from memory (Groover), values computed.
@pytest.mark.parametrize(
    "feed,nose,ra,rt",
    [
        (0.2, 0.8, 1.5625, 6.25),
        (0.1, 0.4, 0.78125, 3.125),
        (0.3, 1.2, 2.34375, 9.375),
        (0.05, 0.2, 0.390625, 1.5625),
    ],
)
def test_turned_roughness(feed: float, nose: float, ra: float, rt: float) -> None:
    assert roughness.theoretical_ra_um(feed, nose) == pytest.approx(ra, rel=1e-9)
    assert roughness.theoretical_rt_um(feed, nose) == pytest.approx(rt, rel=1e-9)
    assert roughness.feed_for_ra_mm(ra, nose) == pytest.approx(feed, rel=1e-9)


def test_feed_for_ra() -> None:
    """Row RA-inv."""
    assert roughness.feed_for_ra_mm(1.6, 0.8) == pytest.approx(0.202385770251, rel=1e-9)


# Rows RAP repeat a table. Source: engineering table 'Surface finish (machining)' (seen).
@pytest.mark.parametrize(
    "process,fine,coarse",
    [
        ("milling", "0.8", "6.3"),
        ("boring", "0.4", "6.3"),
        ("turning", "0.4", "6.3"),
        ("drilling", "1.6", "6.3"),
        ("grinding", "0.1", "1.6"),
        ("honing", "0.1", "0.8"),
        ("lapping", "0.05", "0.4"),
        ("sawing", "1.6", "25"),
    ],
)
def test_ra_by_process(process: str, fine: str, coarse: str) -> None:
    found = roughness.capability(process)
    assert (found.ra_fine_um, found.ra_coarse_um) == (D(fine), D(coarse))


# Rows NGR repeat a table. Series seen; the map of N grades from memory (ISO 1302 annex).
@pytest.mark.parametrize(
    "name,ra",
    [("N1", "0.025"), ("N5", "0.4"), ("N6", "0.8"), ("N7", "1.6"), ("N8", "3.2"), ("N9", "6.3"),
     ("N12", "50")],
)  # fmt: skip
def test_n_grades(name: str, ra: str) -> None:
    assert N_GRADES_RA_UM[name] == D(ra)
    assert roughness.n_grade(D(ra)) == name


def test_series_doubles_about() -> None:
    series = roughness.RA_SERIES_UM
    assert len(series) == 12
    assert all(1.9 < float(b / a) < 2.1 for a, b in pairwise(series))
    with pytest.raises(NotInTable):
        roughness.capability("knitting")


# --- coatings -------------------------------------------------------------------------------------


# Rows ANO: geometry, bore -2 g t, 60° thread 4 g t; computed.
@pytest.mark.parametrize(
    "thickness,growth,bore,thread",
    [(25, 0.5, -25, 50), (50, 0.5, -50, 100), (10, 1 / 3, -6.66666666667, 13.3333333333)],
)
def test_growth(thickness: float, growth: float, bore: float, thread: float) -> None:
    assert finishes.size_change_um("bore", thickness, growth) == pytest.approx(bore, rel=1e-9)
    assert finishes.size_change_um("shaft", thickness, growth) == pytest.approx(-bore, rel=1e-9)
    change = finishes.size_change_um("external thread", thickness, growth)
    assert change == pytest.approx(thread, rel=1e-9)
    assert finishes.size_change_um("internal thread", thickness, growth) == -change


def test_prices_are_ordered() -> None:
    for finish in finishes.FINISHES.values():
        for triple in (
            finish.thickness_um,
            finish.lot_minimum_eur,
            finish.eur_per_dm2,
            finish.rack_eur,
            finish.mask_eur,
        ):
            assert list(triple) == sorted(triple), finish.name


# --- materials ------------------------------------------------------------------------------------

SAME = (
    "density_kg_m3", "kc11_N_mm2", "mc", "vc_rough_lo", "vc_rough_typ", "vc_rough_hi", "fz_lo",
    "fz_typ", "fz_hi", "vc_finish_typ", "price_eur_kg_lo", "price_eur_kg_typ", "price_eur_kg_hi",
    "scrap_return_fraction",
)  # fmt: skip


def test_materials_equal_the_open_table(open_data: Path) -> None:
    rows = _rows(open_data, "materials.csv")
    assert len(rows) == 26
    for row in rows:
        found = materials.find(row["designation"]).get()
        assert found.listed_as == row["designation"]
        assert found.family == row["family"]
        assert found.iso513_group == row["iso513_group"]
        for field in SAME:
            assert getattr(found, field) == float(row[field]), (row["designation"], field)


# Densities kg/m3 read in the open table of package bd-materials 0.2.5.
@pytest.mark.parametrize(
    "name,density",
    [("6061", 2700), ("7075", 2810), ("2024", 2780), ("AlSi10Mg", 2670), ("C45", 7850),
     ("1.4301", 7930), ("1.4404", 8000), ("Ti-6Al-4V", 4430), ("POM", 1410), ("PA6", 1140),
     ("PC", 1200), ("PTFE", 2170)],
)  # fmt: skip
def test_densities(name: str, density: float) -> None:
    assert materials.find(name).get().density_kg_m3 == density


# --- delivery terms, sampling, units --------------------------------------------------------------


def test_incoterms_equal_the_open_table(open_data: Path) -> None:
    rows = _rows(open_data, "incoterms2020_cost_matrix.csv")
    assert [row["rule"] for row in rows] == list(incoterms.RULES)
    for row in rows:
        assert (row["mode"] == "sea") == (row["rule"] in incoterms.SEA_ONLY)
        cells = list(row.values())[2:]
        for item, cell in zip(incoterms.ITEMS, cells, strict=True):
            if cell.startswith("S/B by"):
                expected = "depends"
            else:
                expected = {"S": "seller", "B": "buyer"}[cell[0]]
            assert incoterms.pays(row["rule"], item) == expected, (row["rule"], item)


def test_sampling_equals_the_open_table(open_data: Path) -> None:
    for row in _rows(open_data, "sampling_level2_aql1.csv"):
        first = int(row["lot_from"])
        found = sampling.plan(first)
        assert (found.code_letter, found.plan_letter) == (
            row["code_letter"],
            row["plan_letter_used"],
        )
        assert found.sample == min(int(row["sample_size"]), first)
        assert (found.accept, found.reject) == (int(row["accept"]), int(row["reject"]))
        assert found.arrow == row["note"].startswith("arrow")
        if row["lot_to"]:
            assert sampling.plan(int(row["lot_to"])).code_letter == row["code_letter"]


# Lots and samples, ISO 2859-1 level II, AQL 1.0, normal; from memory, as widely printed.
@pytest.mark.parametrize(
    "lot,sample,accept",
    [(1, 1, 0), (5, 5, 0), (13, 13, 0), (14, 13, 0), (90, 13, 0), (150, 13, 0), (151, 50, 1),
     (500, 50, 1), (501, 80, 2), (3200, 125, 3)],
)  # fmt: skip
def test_plans(lot: int, sample: int, accept: int) -> None:
    found = sampling.plan(lot)
    assert (found.sample, found.accept, found.reject) == (sample, accept, accept + 1)
    assert found.whole_lot == (sample == lot)


def test_units_equal_the_open_table(open_data: Path) -> None:
    for row in _rows(open_data, "unit_codes_rec20_subset.csv"):
        found = units.unit(row["code"])
        assert found is not None, row["code"]
        per = row["each_per_unit_or_dimension"]
        if per.isdigit():
            assert units.pieces(row["code"]) == int(per)
        else:
            assert units.pieces(row["code"]) is None
