"""The whole job on the demo: packages, replies in five forms, bridges, and each planted slip named.

What is planted stands in tests/demo/write_replies.py; the demo is invented, so these are no
outside checks but the proof that the rooms work together.
"""

from __future__ import annotations

import json
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from rfq.cli.main import main
from rfq.tasks.compare import compare_project


@pytest.fixture(scope="module")
def compared(ran_demo: tuple[Path, tuple[str, ...]]) -> dict[str, Any]:
    import contextlib
    import io

    out = io.StringIO()
    with contextlib.redirect_stdout(out), pytest.raises(SystemExit) as stop:
        main(["compare", str(ran_demo[0]), "--json"])
    assert stop.value.code == 0
    return json.loads(out.getvalue())


def cells(compared: dict[str, Any]) -> dict[tuple[str, str, int], dict[str, Any]]:
    return {
        (cell["shop"], line["part"], line["quantity"]): cell
        for line in compared["lines"]
        for cell in line["prices"]
    }


def test_the_demo_leaves_packages_a_comparison_and_a_journal(
    ran_demo: tuple[Path, tuple[str, ...]],
) -> None:
    folder, _ = ran_demo
    for shop in ("kupfermond", "wiklina", "oakvane", "heronjade", "zaffrel"):
        sent = folder / "requests/2026-07/sent" / shop / "2026-07_rev1_round1"
        names = {path.name for path in sent.iterdir()}
        assert {"manifest.json", "mail.eml", "mail.txt", "SB-110_B.pdf"} <= names
        assert any(name.endswith("request.pdf") for name in names)
        assert any(name.endswith("response-sheet.xlsx") for name in names)
    assert "SB-190_A.pdf" not in {p.name for p in folder.glob("requests/*/sent/heronjade/*/*")}
    pdf = folder / "export/comparison-2026-07-round1.pdf"
    assert pdf.read_bytes().startswith(b"%PDF-")
    events = [json.loads(row) for path in (folder / "journal").iterdir()
              for row in path.read_text().splitlines()]  # fmt: skip
    assert [event["what"] for event in events].count("reply accepted") == 5


def test_every_quoted_line_has_a_band_a_comparable_price_and_a_bridge_that_adds_up(
    compared: dict[str, Any],
) -> None:
    quoted = 0
    for line in compared["lines"]:
        band = line["should_cost"]
        assert 0 < Decimal(band["low"]) < Decimal(band["middle"]) < Decimal(band["high"])
        for cell in line["prices"]:
            if cell["quoted"] is None:
                assert cell["state"] in ("not asked", "declined", "no answer")
                continue
            quoted += 1
            steps = sum(Decimal(step["amount"]) for step in cell["bridge"])
            assert steps == Decimal(cell["comparable"])
            assert cell["quoted"]["place"]
    assert quoted == 36 + 33 + 30 + 30 + 18


def test_each_planted_oddity_is_named_for_what_it_is(compared: dict[str, Any]) -> None:
    all_cells = cells(compared)
    per_hundred = all_cells["wiklina", "SB-160", 25]
    assert per_hundred["verdict"] == "likely error"
    assert "100" in per_hundred["slip"]["name"]
    shifted = all_cells["heronjade", "SB-115", 100]
    assert shifted["verdict"] == "likely error" and "decimal" in shifted["slip"]["name"]
    twice = all_cells["kupfermond", "SB-180", 25]
    assert "one-off" in json.dumps(twice)
    assert "finish" in all_cells["heronjade", "SB-140", 25]["missing_scope"]
    assert "finish" not in all_cells["heronjade", "SB-180", 25]["missing_scope"]
    for quantity in (5, 25, 100):
        assert all_cells["oakvane", "SB-120", quantity]["state"] == "expired"
        assert all_cells["wiklina", "SB-190", quantity]["state"] == "declined"
    assert all_cells["zaffrel", "SB-200", 25]["state"] == "no answer"
    assert any("16 H8" in text for text in all_cells["kupfermond", "SB-120", 25]["exceptions"])
    levels = {shop["shop"]: shop["level"] for shop in compared["shops"]}
    assert max(levels, key=lambda shop: levels[shop]) == "oakvane" and levels["oakvane"] > 0.15


def test_at_most_one_clean_price_is_queried(compared: dict[str, Any]) -> None:
    planted = {
        ("wiklina", "SB-160", 25),
        ("heronjade", "SB-115", 100),
        ("kupfermond", "SB-180", 25),
    }
    flagged = {
        key for key, cell in cells(compared).items() if cell["verdict"] in ("query", "likely error")
    }
    assert len(flagged - planted) <= 1


def test_the_same_bytes_come_out_twice(ran_demo: tuple[Path, tuple[str, ...]]) -> None:
    first, second = compare_project(ran_demo[0]).value, compare_project(ran_demo[0]).value
    assert first == second


def test_questions_hold_no_other_shops_figure(compared: dict[str, Any]) -> None:
    for line in compared["lines"]:
        figures = {
            cell["shop"]: {cell["comparable"], cell["quoted"] and cell["quoted"]["amount"]}
            for cell in line["prices"]
        }
        for cell in line["prices"]:
            for shop, amounts in figures.items():
                if shop != cell["shop"]:
                    assert shop not in cell["question"]
                    assert not any(a and len(a) > 3 and a in cell["question"] for a in amounts)
