"""Files as strangers send them: wrong, empty, mesh, surfaces, hostile, huge, several bodies.

Each ends in one sentence and in bounded time. These go through the child process.
"""

from __future__ import annotations

import re
import time
from pathlib import Path
from typing import Any

import pytest

import rfq.geometry.measure as measuring
from rfq.geometry import child
from rfq.geometry.child import Limits
from rfq.geometry.measure import measure
from rfq.problems import MissingExtra, Severity, TooMuch, Unreadable


def sentence(reading: Any, code: str) -> str:
    assert not reading.ok
    (problem,) = reading.problems
    assert problem.code == code
    assert problem.place.file
    assert "\n" not in problem.message
    assert "Traceback" not in problem.message
    return str(problem)


@pytest.fixture(scope="module")
def block_bytes(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    from shapes_made import box, write_step

    path = tmp_path_factory.mktemp("block") / "block.step"
    return write_step(path, box((0, 0, 0), (40.0, 30.0, 20.0)), name="block").read_bytes()


@pytest.fixture
def block(block_bytes: bytes, tmp_path: Path) -> Path:
    path = tmp_path / "block.step"
    path.write_bytes(block_bytes)
    return path


def test_a_block_through_the_child(block: Path, tmp_path: Path) -> None:
    shape = measure(block).get()
    assert shape.volume_mm3 == pytest.approx(24000)
    assert shape.file == "block.step"
    assert len(shape.sha256) == 64
    assert shape.sha256[:12] in shape.source


@pytest.mark.usefixtures("kernel_in_process")
def test_the_cache_answers_for_the_same_bytes_only(
    block: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = tmp_path / "cache"
    first = measure(block, cache=cache, views=False)
    calls: list[str] = []
    work = measuring.work_in_children

    def counted(jobs: Any, data: bytes, name: str, body: int, limits: Limits) -> Any:
        calls.append(name)
        return work(jobs, data, name, body, limits)

    monkeypatch.setattr(measuring, "work_in_children", counted)
    renamed = block.rename(tmp_path / "other name.step")
    again = measure(renamed, cache=cache, views=False)
    assert calls == []
    assert again.get().file == "other name.step"
    assert again.get().volume_mm3 == first.get().volume_mm3
    (kept,) = cache.glob("*.json")
    kept.write_text("{spoilt", encoding="utf-8")
    assert measure(renamed, cache=cache, views=False).ok
    assert calls == ["other name.step"]
    renamed.write_bytes(renamed.read_bytes() + b"\n")
    measure(renamed, cache=cache, views=False)
    assert len(calls) == 2


@pytest.mark.parametrize(
    ("content", "code", "words"),
    [
        (b"", "G002", "empty"),
        (b"  \r\n\0\0", "G002", "empty"),
        (b"solid part\nfacet normal 0 0 1\n", "G001", "STL"),
        (b"%PDF-1.7\n", "G001", "PDF"),
        (b"PK\x03\x04....", "G001", "zip"),
        (b"hello", "G001", "AP242"),
        (b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n", "G003", "solid"),
        (b"ISO-10303-21;\n" + bytes(range(256)) * 40, "G001", "STEP"),
        (b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n#1=(((((((((((;\n", "", ""),
        (b"ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n#1=(CARTESIAN_POINT('',(0.,0.,0.));\n", "", ""),
    ],
)
@pytest.mark.usefixtures("kernel_in_process")
def test_what_is_no_part_is_refused_in_one_sentence(
    content: bytes, code: str, words: str, tmp_path: Path
) -> None:
    path = tmp_path / "reply.step"
    path.write_bytes(content)
    reading = measure(path, views=False)
    assert not reading.ok
    code = code or reading.problems[0].code
    assert words in sentence(reading, code)


@pytest.mark.parametrize("share", [0.5, 0.98])
@pytest.mark.usefixtures("kernel_in_process")
def test_a_file_cut_short_never_gives_a_wrong_whole(share: float, block: Path) -> None:
    data = block.read_bytes()
    block.write_bytes(data[: int(len(data) * share)])
    reading = measure(block)
    if reading.ok:  # the cut took nothing of the solid
        assert reading.get().volume_mm3 == pytest.approx(24000)
    else:
        sentence(reading, reading.problems[0].code)


def test_references_in_a_circle_and_far_away_are_survived(block: Path) -> None:
    text = block.read_text(encoding="ascii")
    for old, new in (
        ("CARTESIAN_POINT('',(0.", "CARTESIAN_POINT('',(1.E300"),
        ("#1", "#9"),
    ):
        block.write_text(text.replace(old, new), encoding="ascii")
        reading = measure(block, views=False, limits=Limits(seconds=20))
        assert reading.ok or sentence(reading, reading.problems[0].code)


@pytest.mark.usefixtures("kernel_in_process")
def test_surfaces_without_a_solid_are_named(tmp_path: Path) -> None:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.gp import gp_Pln
    from shapes_made import write_step

    face = BRepBuilderAPI_MakeFace(gp_Pln(), 0.0, 10.0, 0.0, 10.0).Face()
    path = write_step(tmp_path / "face.step", face, name="face")
    assert "no closed solid" in sentence(measure(path, views=False), "G003")


@pytest.mark.parametrize("solid", [False, True])
@pytest.mark.usefixtures("kernel_in_process")
def test_a_tessellated_file_is_named_a_mesh(solid: bool, tmp_path: Path) -> None:
    from OCP.BRep import BRep_Builder, BRep_Tool
    from OCP.BRepMesh import BRepMesh_IncrementalMesh
    from OCP.Interface import Interface_Static
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer
    from OCP.TopLoc import TopLoc_Location
    from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shell, TopoDS_Solid
    from shapes_made import cylinder, write_step

    exact = cylinder((0, 0, 0), (0, 0, 1), 5, 10)
    BRepMesh_IncrementalMesh(exact, 0.1)
    builder, mesh = BRep_Builder(), TopoDS_Shell()
    builder.MakeShell(mesh)
    faces = TopExp_Explorer(exact, TopAbs_ShapeEnum.TopAbs_FACE)
    while faces.More():
        triangles = BRep_Tool.Triangulation_s(TopoDS.Face(faces.Current()), TopLoc_Location())
        bare = TopoDS_Face()
        builder.MakeFace(bare, triangles)
        builder.Add(mesh, bare)
        faces.Next()
    whole = TopoDS_Solid()
    builder.MakeSolid(whole)
    builder.Add(whole, mesh)
    Interface_Static.SetCVal_s("write.step.tessellated", "On")
    path = write_step(tmp_path / "mesh.step", whole if solid else mesh, name="mesh")
    assert "TESSELLATED" in path.read_text(encoding="ascii")
    assert "mesh" in sentence(measure(path, views=False), "G004")


@pytest.mark.usefixtures("kernel_in_process")
def test_faces_turned_inside_out_still_give_the_right_volume(block: Path) -> None:
    text = block.read_text(encoding="ascii")
    flipped = re.sub(
        r"(ADVANCED_FACE\('',\([^)]*\),#\d+,\s*\.)([TF])",
        lambda m: m[1] + "FT"[m[2] == "F"],
        text,
    )
    assert flipped != text
    block.write_text(flipped, encoding="ascii")
    assert measure(block, views=False).get().volume_mm3 == pytest.approx(24000)


@pytest.mark.usefixtures("kernel_in_process")
def test_a_solid_with_a_face_missing_is_no_solid(block: Path) -> None:
    text = block.read_text(encoding="ascii")
    holed = re.sub(r"(CLOSED_SHELL\('',\(#\d+,)#\d+,", r"\1", text)
    assert holed != text
    block.write_text(holed, encoding="ascii")
    assert "no closed solid" in sentence(measure(block, views=False), "G003")


@pytest.mark.usefixtures("kernel_in_process")
def test_faces_lost_on_the_way_are_asked_about(tmp_path: Path) -> None:
    from shapes_made import box, cut, cylinder, write_step

    drilled = cut(box((0, 0, 0), (40.0, 30.0, 20.0)), cylinder((20, 15, -1), (0, 0, 1), 5.0, 22))
    path = write_step(tmp_path / "lost.step", drilled, name="lost")
    text = path.read_text(encoding="ascii")
    planes = re.findall(r"(#\d+) = PLANE\(", text)
    assert len(planes) == 6
    for plane in planes[:1]:  # its face cannot be built
        text = re.sub(rf"{plane} = PLANE\('',#\d+\)", f"{plane} = PLANE('',$)", text)
    path.write_text(text, encoding="ascii")
    reading = measure(path, views=False)
    if reading.ok:
        assert {p.code for p in reading.problems} & {"G014", "G015"}
    else:
        sentence(reading, reading.problems[0].code)


def test_too_large_a_file_is_refused_unread(block: Path) -> None:
    with pytest.raises(TooMuch, match="larger than 0 MB"):
        measure(block, limits=Limits(file_bytes=1000))


def test_time_runs_out_in_bounded_time(block: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # a child that does nothing but turn: its own processor limit must end it
    monkeypatch.setattr(
        child, "_command", lambda *_: [child.sys.executable, "-c", "while True: pass"]
    )
    begun = time.monotonic()
    with pytest.raises(TooMuch, match="within 1 s"):
        measure(block, limits=Limits(seconds=1, grace_seconds=0))
    assert time.monotonic() - begun < 10


def test_memory_runs_out_in_one_sentence(block: Path) -> None:
    with pytest.raises(TooMuch, match="GB"):
        measure(block, limits=Limits(memory_bytes=400_000_000))


def test_a_crash_of_the_kernel_harms_nobody(block: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code = "import os; os.abort()"
    monkeypatch.setattr(child, "_command", lambda *_: [child.sys.executable, "-c", code])
    assert "kernel" in sentence(measure(block), "G005")


def test_a_bug_of_ours_keeps_its_traceback(block: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    code = "raise ZeroDivisionError('ours')"
    monkeypatch.setattr(child, "_command", lambda *_: [child.sys.executable, "-c", code])
    with pytest.raises(RuntimeError, match="ZeroDivisionError: ours"):
        measure(block)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(Unreadable, match="cannot be opened"):
        measure(tmp_path / "gone.step")


def test_without_kernel_without_the_extra_one_sentence_says_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(child, "kernel_installed", lambda: False)
    path = tmp_path / "part.step"
    path.write_bytes(b"ISO-10303-21;\nHEADER;\n")
    with pytest.raises(MissingExtra, match=r"pip install 'rfq\[step\]'"):
        measure(path, views=False)


def test_without_kernel_the_public_modules_load_without_the_kernel_or_arrays() -> None:
    import subprocess
    import sys

    code = (
        "import sys, rfq.geometry.measure, rfq.geometry.savings, rfq.geometry.revisions;"
        "print([m for m in ('OCP', 'numpy', 'scipy', 'pandas') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.usefixtures("kernel_in_process")
def test_several_bodies_are_listed_with_counts_and_can_be_picked(tmp_path: Path) -> None:
    from OCP.BRep import BRep_Builder
    from OCP.TopoDS import TopoDS_Compound
    from shapes_made import box, cylinder, write_step

    builder, group = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(group)
    for k in range(3):
        builder.Add(group, cylinder((30.0 * k, 0, 0), (0, 0, 1), 5, 20))
    builder.Add(group, box((0, 50, 0), (10.0, 20.0, 30.0)))
    path = write_step(tmp_path / "group.step", group, name="group")
    reading = measure(path, views=False)
    shape = reading.get()
    assert shape.solids == 4
    assert sorted((b.count, round(b.volume_mm3)) for b in shape.bodies) == [(1, 6000), (3, 1571)]
    assert [(p.code, p.severity) for p in reading.problems] == [("G010", Severity.ASK)]
    number = next(b.number for b in shape.bodies if b.count == 1)
    picked = measure(path, views=False, body=number).get()
    assert (picked.solids, picked.volume_mm3) == (1, pytest.approx(6000))
    assert picked.box_mm == pytest.approx((10, 20, 30), abs=1e-3)
    assert "1 to 2" in sentence(measure(path, views=False, body=9), "G007")


@pytest.mark.usefixtures("kernel_in_process")
def test_an_assembly_names_its_parts_and_counts_instances(tmp_path: Path) -> None:
    from shapes_made import write_assembly

    path = write_assembly(tmp_path / "assembly.step")
    shape = measure(path, views=False).get()
    assert {(b.name, b.count) for b in shape.bodies} == {("pin", 4), ("plate", 1)}
    assert shape.solids == 5
    assert shape.box_mm[2] == pytest.approx(25, abs=1e-3)


@pytest.mark.usefixtures("kernel_in_process")
def test_an_inch_file_is_measured_in_millimetres(tmp_path: Path) -> None:
    from OCP.Interface import Interface_Static
    from shapes_made import box, write_step

    try:
        path = tmp_path / "inch.step"
        write_step(path, box((0, 0, 0), (25.4, 50.8, 12.7)), name="inch", unit="INCH")
    finally:
        Interface_Static.SetCVal_s("write.step.unit", "MM")
    shape = measure(path, views=False).get()
    assert shape.unit == "inch"
    assert shape.box_mm == pytest.approx((25.4, 50.8, 12.7), abs=1e-3)
    assert shape.volume_mm3 == pytest.approx(25.4 * 50.8 * 12.7, rel=1e-6)


@pytest.mark.usefixtures("kernel_in_process")
def test_a_volume_that_contradicts_the_file_is_asked_about(block: Path) -> None:
    text = block.read_text(encoding="ascii")
    item = "#999901=MEASURE_REPRESENTATION_ITEM('volume measure',VOLUME_MEASURE(25000.),#999902);\n"
    head, tail = text.rsplit("ENDSEC;", 1)
    block.write_text(f"{head}{item}ENDSEC;{tail}", encoding="ascii")
    reading = measure(block)
    assert reading.get().volume_in_file_mm3 == 25000
    (problem,) = reading.problems
    assert (problem.code, problem.severity) == ("G011", Severity.ASK)
    assert "-4.0 %" in problem.message


def test_the_child_writes_no_file_and_leaves_no_folder(
    block: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import tempfile

    monkeypatch.setenv("TMPDIR", str(tmp_path))
    monkeypatch.setattr(tempfile, "tempdir", None)
    before = sorted(tmp_path.iterdir())
    measure(block)
    assert sorted(tmp_path.iterdir()) == before
