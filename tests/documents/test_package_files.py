"""A shop's package as a whole: what is in it, what is not, and what stops it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from datetime import datetime
from io import BytesIO
from zipfile import ZipFile

import pypdfium2
import pytest
from openpyxl import load_workbook
from pypdf import PdfWriter

from rfq.documents.package import PackageFiles, build_package
from rfq.documents.wording import Wording
from rfq.model.part import FileRef
from rfq.model.project import Project
from rfq.problems import Severity

Build = Callable[..., PackageFiles]


def drawing(pages: int = 1, password: str = "") -> bytes:
    writer = PdfWriter()
    for _ in range(pages):
        writer.add_blank_page(300, 200)
    if password:
        writer.encrypt(password, algorithm="RC4-128")
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


FILES = {
    "files/RG-110_C.pdf": drawing(),
    "files/RG-110_C.step": b"ISO-10303-21;\nEND-ISO-10303-21;\n",
    "files/RG-204_B.pdf": drawing(2),
}


def hashed(project: Project, files: dict[str, bytes]) -> Project:
    parts = {}
    for number, part in project.parts.items():
        update = {}
        for role in ("drawing", "model"):
            ref = getattr(part, role)
            if ref is not None:
                digest = hashlib.sha256(files.get(ref.path, b"")).hexdigest()
                update[role] = FileRef(path=ref.path, sha256=digest)
        parts[number] = part.model_copy(update=update)
    return project.model_copy(update={"parts": parts})


@pytest.fixture
def build(river_project: Project, wording: Wording, now: datetime) -> Build:
    def make(
        shop: str = "oakvane",
        files: dict[str, bytes] | None = None,
        project: Project | None = None,
        **more: object,
    ) -> PackageFiles:
        chosen = {**FILES, **(files or {})}
        whole = hashed(project or river_project, chosen)
        return build_package(
            whole, whole.requests["2026-07"], shop, 1, chosen, now, wording, **more
        )  # type: ignore[arg-type]

    return make


def test_a_package_holds_what_a_shop_needs(build: Build) -> None:
    package = build()
    assert package.problems == ()
    assert sorted(package.files) == [
        "2026-07_rev2_round1_oakvane.zip",
        "2026-07_rev2_round1_request.pdf",
        "2026-07_rev2_round1_request.xml",
        "2026-07_rev2_round1_response-form.pdf",
        "2026-07_rev2_round1_response-sheet.xlsx",
        "RG-110_C.pdf",
        "RG-110_C.step",
        "RG-204_B.pdf",
        "mail.eml",
        "mail.txt",
        "manifest.json",
    ]
    assert "RG-204_B.pdf" not in build("tarnfell").files


def test_the_manifest_names_every_file_with_its_hash(build: Build) -> None:
    package = build()
    manifest = json.loads(package.files["manifest.json"])
    with ZipFile(BytesIO(package.files[package.zip_name])) as archive:
        inside = {name: archive.read(name) for name in archive.namelist()}
    assert {one["name"] for one in manifest["files"]} == set(inside) - {"manifest.json"}
    for one in manifest["files"]:
        assert hashlib.sha256(inside[one["name"]]).hexdigest() == one["sha256"]
        assert inside[one["name"]] == package.files[one["name"]]


def test_same_input_same_bytes(build: Build) -> None:
    assert dict(build().files) == dict(build().files)


def test_nothing_internal_leaves(build: Build, river_project: Project) -> None:
    """Marker strings stand in every internal field; none is in any byte of either package."""
    from rfq.documents.leaks import leak_scan

    markers = [
        "MARKER-PART-NOTE", "MARKER-ENGINEER", "MARKER-COST-SOURCE", "MARKER-CALLOUT-NOTE",
        "MARKER-REQUEST-NOTE", "MARKER-OVERRIDE", "MARKER-PERSON", "MARKER-SETTINGS-NOTE",
        "MARKER-SHOP-NOTE", "123.45", "98.76",
    ]  # fmt: skip
    text = river_project.model_dump_json()
    assert all(marker in text for marker in markers)
    for shop, other in (("oakvane", "MARKER-OTHER-SHOP"), ("tarnfell", "Oakvane Precision")):
        assert leak_scan(build(shop).files, [*markers, other]) == ()


def test_a_leak_in_what_goes_out_stops_everything(build: Build, river_project: Project) -> None:
    request = river_project.requests["2026-07"].model_copy(
        update={"cover_note": "Tarnfell Zerspanung MARKER-OTHER-SHOP was cheaper last time."}
    )
    package = build(project=river_project.model_copy(update={"requests": {"2026-07": request}}))
    assert package.files == {}
    stops = [one for one in package.problems if one.severity is Severity.STOP]
    assert {one.code for one in stops} == {"D020"}


def test_a_leak_in_a_drawing_is_a_question(build: Build) -> None:
    step = b"ISO-10303-21; /* for tarnfell, anfrage@tarnfell.example.com */"
    package = build(files={"files/RG-110_C.step": step})
    assert package.ok
    assert {(one.code, one.severity) for one in package.problems} == {("D020", Severity.ASK)}


def test_local_paths_and_user_names_are_guarded(build: Build, river_project: Project) -> None:
    part = river_project.parts["RG-310"].model_copy(update={"shop_note": "see C:/Users/ana/x.txt"})
    project = river_project.model_copy(update={"parts": {**river_project.parts, "RG-310": part}})
    assert not build(project=project, forbidden=("C:/Users/ana",)).ok


@pytest.mark.parametrize(
    ("data", "code", "says"),
    [
        (b"", "D015", "is empty"),
        (b"no pdf at all", "D012", "cannot be read as PDF"),
        (drawing(password="x"), "D013", "is encrypted"),
        (drawing(2000), "D014", "has 2000 pages"),
    ],
)
def test_a_drawing_nobody_can_use_stops_in_one_sentence(
    build: Build, data: bytes, code: str, says: str
) -> None:
    package = build(files={"files/RG-110_C.pdf": data})
    (problem,) = package.problems
    assert package.files == {}
    assert problem.code == code and problem.place.file == "files/RG-110_C.pdf"
    assert says in problem.message and problem.message.startswith("RG-110: ")
    assert "\n" not in problem.message and problem.message.count(". ") == 0


def test_a_missing_and_a_changed_drawing(
    river_project: Project, wording: Wording, now: datetime
) -> None:
    project = hashed(river_project, FILES)
    files = {**FILES, "files/RG-110_C.pdf": drawing(3)}
    del files["files/RG-204_B.pdf"]
    request = project.requests["2026-07"]
    package = build_package(project, request, "oakvane", 1, files, now, wording)
    assert {(one.code, one.subject) for one in package.problems} == {
        ("D011", "RG-110"),
        ("D010", "RG-204"),
    }
    assert package.files == {}


@pytest.mark.parametrize("logo", [None, b"not a picture"])
def test_a_missing_or_broken_logo_is_a_note(
    build: Build, river_project: Project, logo: bytes | None
) -> None:
    settings = river_project.settings.model_copy(update={"logo": "logo.png"})
    project = river_project.model_copy(update={"settings": settings})
    package = build(project=project, files={"logo.png": logo} if logo else None)
    assert package.ok
    (problem,) = package.problems
    assert problem.code == "D017" and problem.severity is Severity.NOTE


def test_a_good_logo_is_drawn(build: Build, river_project: Project) -> None:
    from PIL import Image

    picture = BytesIO()
    Image.new("L", (60, 20), 0).save(picture, "PNG")
    settings = river_project.settings.model_copy(update={"logo": "logo.png"})
    project = river_project.model_copy(update={"settings": settings})
    package = build(project=project, files={"logo.png": picture.getvalue()})
    assert package.problems == ()
    with pypdfium2.PdfDocument(package.files["2026-07_rev2_round1_request.pdf"]) as pdf:
        kinds = [thing.type for thing in pdf[0].get_objects()]
    assert pypdfium2.raw.FPDF_PAGEOBJ_IMAGE in kinds


def test_names_with_slashes_formulas_and_control_characters(
    build: Build, river_project: Project
) -> None:
    name = '=HYPERLINK("x") ../../etc\x07\x00\r\nBcc: x@example.com'
    part = river_project.parts["RG-110"].model_copy(
        update={"name": name, "drawing": FileRef(path="a/../b\\we ird:na/me?.PDF")}
    )
    shop = river_project.shops["oakvane"].model_copy(update={"name": name})
    request = river_project.requests["2026-07"].model_copy(update={"title": name})
    project = river_project.model_copy(
        update={
            "parts": {**river_project.parts, "RG-110": part},
            "shops": {**river_project.shops, "oakvane": shop},
            "requests": {"2026-07": request},
        }
    )
    package = build(project=project, files={"a/../b\\we ird:na/me?.PDF": drawing()})
    assert package.ok, package.problems
    assert all(set(one) <= set("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789._-")
               for one in package.files)  # fmt: skip
    book = load_workbook(BytesIO(package.files["2026-07_rev2_round1_response-sheet.xlsx"]))
    cells = [
        cell for row in book["Quote"].iter_rows() for cell in row
        if isinstance(cell.value, str) and "HYPERLINK" in cell.value
    ]  # fmt: skip
    assert cells
    for cell in cells:
        assert cell.data_type == "s"
        assert cell.quotePrefix or not cell.value.startswith("=")
    head = package.files["mail.eml"].split(b"\r\n\r\n")[0]
    assert b"\r\nBcc:" not in head


def test_a_shop_that_is_not_asked(build: Build, river_project: Project) -> None:
    assert [one.code for one in build("nobody").problems] == ["D021"]
    request = river_project.requests["2026-07"].model_copy(update={"asked": ()})
    rounds = tuple(one.model_copy(update={"asked": ()}) for one in river_project.rounds)
    project = river_project.model_copy(update={"requests": {"2026-07": request}, "rounds": rounds})
    assert [one.code for one in build(project=project).problems] == ["D021"]


def test_signs_no_font_prints_are_named(build: Build, river_project: Project) -> None:
    part = river_project.parts["RG-310"].model_copy(update={"name": "plate 🜲"})
    project = river_project.model_copy(update={"parts": {**river_project.parts, "RG-310": part}})
    package = build(project=project)
    assert package.ok
    assert [one.code for one in package.problems] == ["D016"]
    assert "U+1F732" in package.problems[0].message


def test_big_files_split_the_mail(build: Build) -> None:
    step = b"ISO-10303-21;" + bytes(range(256)) * 2000
    package = build(files={"files/RG-110_C.step": step}, gate_bytes=500_000)
    assert len(package.mails) > 1
    assert {name for one in package.mails for name in one.attachments} == {
        name for name in package.files if not name.endswith((".zip", ".eml")) and name != "mail.txt"
    }
    assert any(one.code == "D018" and one.place.file == "RG-110_C.step" for one in package.problems)
    for one in package.mails:
        if "RG-110_C.step" not in one.attachments:
            assert one.size <= 500_000
