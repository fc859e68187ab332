"""The gallery of replies and lists: what is wrong with a file, and the code and words said of it.

Every file is invented; what goes wrong in them is common practice, no source.
"""

from __future__ import annotations

import zipfile
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from openpyxl import Workbook

from rfq.intake.parts_list import pair_files, read_parts_list
from rfq.intake.quote import accept
from rfq.intake.read import read_reply
from rfq.model.draft import Draft
from rfq.model.part import FileRef, Part
from rfq.model.quote import Price
from rfq.model.request import Request, RequestLine
from rfq.model.shop import Shop
from rfq.problems import Place

PARTS = ("BR-1041", "SH-2007")
REQUEST = Request(
    id="R1", title="t", lines=tuple(RequestLine(part=p, quantities=(10, 50)) for p in PARTS)
)
NOW = datetime(2026, 7, 20, 9, tzinfo=UTC)
HEAD = "Part;Qty;Unit price EUR\n"
GOOD = HEAD + "BR-1041;10;12.50\nBR-1041;50;9.00\nSH-2007;10;4.00\nSH-2007;50;3.10\n"
KNOWN = {p: Part(number=p, revision="B", name=p, material="EN AW-6082") for p in PARTS}

REPLIES = [
    ("R001", "reply.csv", "", "is empty: ask the shop to send it again"),
    ("R002", "reply.bin", "\x00\x01\x02\x03" * 50, ""),
    ("R017", "reply.csv", HEAD + "BR-1041;some;12.50\n", ""),
    ("R018", "reply.csv", GOOD + "XX-9999;10;7.00\n", "is not a part of the request"),
    ("R020", "reply.csv", "Part;Rev;Qty;Unit price EUR\nBR-1041;A;10;12.50\nSH-2007;B;10;4.00\n",
     "the price is for revision A, asked was B"),
    ("R028", "reply.csv", "Thank you;we will answer;soon\n", "No price was found in this file"),
    ("R030", "reply.csv", "Part;Qty;Price per kg EUR\nBR-1041;10;12.50\n",
     "the price is per kg and no weight stands beside it"),
    ("R033", "reply.csv", GOOD + "BR-1041;77;8.00\n", "77 pieces were not asked for"),
    ("R034", "reply.csv", GOOD, "doesn't say whether tax is in its prices"),
    ("R038", "reply.csv",
     "Part;Qty;Unit price EUR;Discount %;Total\nBR-1041;10;10.00;5;100.00\n"
     "SH-2007;10;20.00;5;200.00\n", "taken as already discounted"),
    ("R043", "reply.csv", GOOD + "Discount of 5 % for orders above 1000 EUR\n",
     "is a discount on a condition; it is not applied"),
    ("R024", "reply.csv", "Part;Qty;Unit price EUR;One-off\nBR-1041;10;12;1.234\n",
     "can be read as"),
    ("R039", "reply.csv", GOOD + "Alternative: EN AW-6060;10;39.00\n", "read as an alternative"),
    ("R040", "reply.csv", GOOD + "Exception: anodising is not included in our price\n",
     "departs from the request"),
    ("R041", "reply.csv", GOOD + "Delivery: FOB origin\n", "domestic US term"),
    ("R042", "reply.csv", GOOD + "Valid until 03/04/2027\n", "the first is taken"),
    ("R050", "reply.xml", "<?xml version='1.0'?><Order/>", "no UBL Quotation"),
    ("R057", "reply.csv",
     '"Part","Qty","Unit price EUR"\n"BR-1041","10","12.50"\n"SH-2007","10","4',
     "the file ends inside this row"),
    ("R058", "reply.csv", "Part,Qty,Unit price EUR\nBR-1041,10,12,50\nSH-2007,10,4.00\n", ""),
]  # fmt: skip


def read(folder: Path, name: str, text: str, **more: object) -> tuple[Draft | None, dict[str, str]]:
    file = folder / name
    file.write_text(text, encoding="utf-8", newline="")
    reading = read_reply(file, REQUEST, parts=KNOWN, shops={}, **more)  # type: ignore[arg-type]
    draft = reading.value
    problems = (*reading.problems, *(draft.problems if draft is not None else ()))
    return draft, {problem.code: problem.message for problem in problems}


@pytest.mark.parametrize(("code", "name", "text", "said"), REPLIES, ids=[r[0] for r in REPLIES])
def test_a_reply_is_told_what_is_wrong(
    code: str, name: str, text: str, said: str, tmp_path: Path
) -> None:
    _, found = read(tmp_path, name, text)
    assert code in found, found
    assert said in found[code]


def test_a_reply_of_nobody(tmp_path: Path) -> None:
    shops = {"s": Shop(id="s", name="Sennhof", country="CH", currency="EUR")}
    (tmp_path / "reply.csv").write_text(GOOD, encoding="utf-8")
    draft = read_reply(tmp_path / "reply.csv", REQUEST, shops=shops).get()
    assert any(
        p.code == "R046" and "doesn't say from which shop it is" in p.message
        for p in draft.problems
    )


def test_letters_that_the_encoding_does_not_know(tmp_path: Path) -> None:
    (tmp_path / "reply.csv").write_bytes(GOOD.encode("utf-16-le") + b"\x00\xd8\x41\x00")
    reading = read_reply(tmp_path / "reply.csv", REQUEST)
    problems = reading.value.problems if reading.value is not None else reading.problems
    assert "R005" in {p.code for p in problems}, problems


def test_a_workbook_that_declares_entities(tmp_path: Path) -> None:
    Workbook().save(tmp_path / "plain.xlsx")
    with (
        zipfile.ZipFile(tmp_path / "plain.xlsx") as old,
        zipfile.ZipFile(tmp_path / "reply.xlsx", "w") as new,
    ):
        for name in old.namelist():
            data = old.read(name)
            if name.endswith("sheet1.xml"):
                data = (
                    b'<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "b">]><worksheet>&a;</worksheet>'
                )
            new.writestr(name, data)
    problems = read_reply(tmp_path / "reply.xlsx", REQUEST).problems
    assert [p.code for p in problems] == ["R006"]
    assert "declares XML entities" in problems[0].message


def price(part: str, quantity: int, currency: str = "EUR") -> Price:
    return Price(
        part=part, quantity=quantity, each=Decimal(9), printed=Decimal(9), currency=currency,
        sure=True, place=Place("reply.csv", line=2),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("code", "change", "said"),
    [
        ("R061", {"prices": ()}, "nothing can be accepted"),
        ("R062", {"prices": (price("XX-9", 10),)}, "the part is not in request R1"),
        ("R063", {"request": "R0", "form": "response sheet"}, "answers request R0, not R1"),
        ("R063", {"round": 2, "form": "response sheet"}, "answers round 2, not round 1"),
        ("R064", {"prices": (price("BR-1041", 10), price("BR-1041", 50, "USD"))}, "EUR, USD"),
        ("R065", {"prices": (price("BR-1041", 10),) * 2}, "stands 2 times; leave one"),
    ],
)
def test_a_draft_is_not_accepted_like_that(
    code: str, change: dict[str, object], said: str, tmp_path: Path
) -> None:
    draft, _ = read(tmp_path, "reply.csv", GOOD)
    assert draft is not None
    reading = accept(
        draft.model_copy(update={"shop": "s", "problems": (), **change}),
        request=REQUEST, shop="s", received=NOW, accepted_at=NOW, source=FileRef(path="reply.csv"),
    )  # fmt: skip
    assert any(p.code == code and said in p.message for p in reading.problems), reading.problems


@pytest.mark.parametrize(
    ("code", "name", "text", "said"),
    [
        ("R002", "list.pdf", "%PDF-1.4", "a parts list is a CSV or a workbook"),
        ("R090", "list.csv", "one;two\n3;4\n", "no heading row with a part number"),
        ("R090", "list.csv", "Part;Name;Material\n", "holds no part below its headings"),
        ("R091", "list.csv", "Part;Name;Material\n;hook;POM\nA-1;x;POM\n", "has no part number"),
        ("R092", "list.csv", "Part;Name;Material\nA-1;x;POM\nA-1;y;POM\n", "A-1 stands twice"),
        ("R096", "list.csv", "Part;Name;Material;Length mm;Mass kg\nA-1;x;POM;20;1\n",
         "columns Length mm, Mass kg were not taken"),
    ],
)  # fmt: skip
def test_a_parts_list_is_told_what_is_wrong(
    code: str, name: str, text: str, said: str, tmp_path: Path
) -> None:
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    problems = read_parts_list(file).problems
    assert any(p.code == code and said in p.message for p in problems), problems


@pytest.mark.parametrize(
    ("code", "names", "said"),
    [
        ("R093", (), "holds no drawing or model whose name says a part number"),
        ("R094", ("A-1_B.pdf", "A-1_B.dxf"), "are both for A-1 B; the first was taken"),
        ("R094", ("A-1_B.pdf", "A-1.step"), "a file without a revision in its name"),
        ("R095", ("A-1_B.pdf", "notes.pdf"), "the name says no part number"),
    ],
)
def test_a_folder_is_told_what_is_wrong(
    code: str, names: tuple[str, ...], said: str, tmp_path: Path
) -> None:
    for name in names:
        (tmp_path / name).write_bytes(b"%PDF-1.4")
    problems = pair_files(tmp_path).problems
    assert any(p.code == code and said in p.message for p in problems), problems


def test_a_folder_that_is_none(tmp_path: Path) -> None:
    assert [p.code for p in pair_files(tmp_path / "gone").problems] == ["R093"]
