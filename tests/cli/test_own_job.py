"""A newcomer's whole job by commands: an empty folder, three parts, a second round, an award."""

from __future__ import annotations

from pathlib import Path

import pytest
from openpyxl import Workbook

from rfq.cli.main import main
from rfq.store.load import load_project

PART = """number = "{number}"
revision = "A"
name = "{name}"
material = "EN AW-6082"
temper = "T6"
form = "plate"
export_control = "none"
general_tolerance = "ISO 2768-m"
edges = "ISO 13715: outside -0.3, inside +0.3"
shape = {{ kind = "prismatic", length_mm = {length}, width_mm = 60, height_mm = 15, finished_mass_kg = 0.15 }}
callouts = [ {{ number = "1", what = "bore", text = "10 H7", envelope = true }} ]
"""  # noqa: E501 - one part as a user writes it
SHOP = """id = "{id}"
name = "{id} works"
country = "DE"
currency = "EUR"
nda = "signed"
contact = {{ email = "quotes@{id}.example.com" }}
"""
PARTS = {"HK-1": 120, "HK-2": 90, "HK-3": 60}


def offer(folder: Path, name: str, prices: dict[str, float], currency: str = "EUR") -> Path:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Article", "Qty", f"Price a piece {currency}".strip()])
    for part, price in prices.items():
        sheet.append([part, 25, price])
    sheet.append([])
    sheet.append(["Prices net, excl. VAT. Lead time 4 weeks from order, valid until 31.12.2026."])
    file = folder / name
    book.save(file)
    return file


def test_from_an_empty_folder_to_an_award(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def run(*args: object, code: int = 0) -> str:
        with pytest.raises(SystemExit) as left:
            main([str(arg) for arg in args])
        out = capsys.readouterr()
        assert left.value.code == code, (args, out.out, out.err)
        return out.out + out.err

    monkeypatch.chdir(tmp_path)
    run("new", "hooks")
    folder = tmp_path / "hooks"
    monkeypatch.chdir(folder)
    for number, length in PARTS.items():
        text = PART.format(number=number, name=f"hook of {length}", length=length)
        (folder / "parts" / f"{number}.toml").write_text(text, encoding="utf-8")
    for shop in ("mill", "lathe"):
        (folder / "shops" / f"{shop}.toml").write_text(SHOP.format(id=shop), encoding="utf-8")
    assert "the request has no lines" in run("compare")
    with (folder / "project.toml").open("a", encoding="utf-8") as file:
        file.write('seen_from = 2026-11-02\ncompany = "Hooks"\ncountry = "DE"\n')
        file.write('contact = { name = "Ana", email = "ana@hooks.example.com" }\n')
    (request,) = (folder / "requests").glob("*/request.toml")
    lines = "".join(f'  {{ part = "{number}", quantities = [25] }},\n' for number in PARTS)
    head, terms, rest = request.read_text(encoding="utf-8").partition("\n[terms]\n")
    asked = f'lines = [\n{lines}]\nasked = [ {{ shop = "mill" }}, {{ shop = "lathe" }} ]\n'
    delivery = 'incoterm = "DAP"\nplace = "Musterhafen"\n'
    request.write_text(f"{head}\n{asked}{terms}{delivery}{rest}", encoding="utf-8")
    assert "HK-1 has neither drawing nor model" in run("package", code=1)
    run("package", "--override", "drawings follow by mail")
    first = offer(tmp_path, "mill.xlsx", dict.fromkeys(PARTS, 46.0))
    assert "sure" in run("import", first, "--shop", "mill", "--accept")
    unsure = offer(tmp_path, "lathe.xlsx", dict.fromkeys(PARTS, 44.5), currency="")
    said = run("import", unsure, "--shop", "lathe", "--accept", code=1)
    assert "no currency is stated anywhere" in said and "3 (replies)" in said
    clear = offer(tmp_path, "lathe-2.xlsx", dict.fromkeys(PARTS, 44.5))
    run("import", clear, "--shop", "lathe", "--accept")
    assert "lowest 4" in run("compare")
    run("rounds", ".", "close")
    run("rounds", ".", "open", "--until", "2026-11-20T12:00+01:00", "--argument", "set-up shared")
    run("package")
    second = offer(tmp_path, "mill-2.xlsx", dict.fromkeys(PARTS, 41.0))
    run("import", second, "--shop", "mill", "--accept")
    assert "mill" in run("rounds", ".", "movement")
    proposed = run("award")
    assert "cheapest" in proposed
    run("award", "--choose", "cheapest", "--reason", "lowest of two")
    project = load_project(folder).get()
    (award,) = project.awards
    assert award.proposal.shops == ("mill",) and project.orders
