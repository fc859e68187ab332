"""The model in the job: figures taken one by one, PMI as callouts, balloons, revisions, bodies.

The demo's models are our own, with figures known by construction (tests/geometry); the expected PMI
of nist_ctc_01 is NIST's.
"""

from __future__ import annotations

import importlib.util
import json
import shutil
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from rfq.cli.main import main
from rfq.problems import MissingExtra, Severity
from rfq.store.load import load_project
from rfq.store.save import changes
from rfq.tasks.assembly import list_bodies, take_bodies
from rfq.tasks.check import findings
from rfq.tasks.done import Stopped
from rfq.tasks.measure import changes_between, drawing_of, measure_all, measure_part, views_of
from rfq.tasks.open import opened
from rfq.tasks.parts import take_parts
from rfq.tasks.pmi import pmi_of
from rfq.tasks.shape_changes import shapes_changed
from rfq.tasks.shape_sheet import write_shape_sheet

pytestmark = [
    pytest.mark.skipif(
        importlib.util.find_spec("OCP") is None,
        reason="the optional geometry kernel (extra 'step') is not installed",
    ),
    pytest.mark.usefixtures("kernel_in_process"),
]

GEOMETRY = Path(__file__).resolve().parent.parent / "geometry"


@pytest.fixture
def project(
    demo_source: Path,
    measure_here: Callable[..., Any],
    measured_models: Path,
    tmp_path: Path,
) -> Path:
    """A copy of the demo whose models were measured before."""
    for model in sorted((demo_source / "models").glob("*.step")):
        measure_here(model)
    folder = tmp_path / "buoy"
    shutil.copytree(demo_source, folder, ignore=shutil.ignore_patterns(".rfq"))
    shutil.copytree(measured_models, folder / ".rfq/measured")
    return folder


@pytest.fixture
def shapes(monkeypatch: pytest.MonkeyPatch) -> Any:
    monkeypatch.syspath_prepend(str(GEOMETRY))
    import shapes_made

    return shapes_made


@pytest.fixture
def with_pmi(project: Path, open_data: Path) -> Path:
    """The demo with NIST's first test case as the model of one part."""
    source = open_data / "step" / "nist_ctc_01_asme1_ap242-e1.stp"
    if not source.is_file():
        pytest.skip("the open STEP models are not among the open data")
    shutil.copy(source, project / "models/SB-130_C.step")
    return project


def part(project: Path, number: str) -> Any:
    return load_project(project).get().parts[number]


def typed_by_hand(project: Path, number: str, **figures: object) -> None:
    here = opened(project)
    one = here.project.parts[number]
    shape = one.shape.model_copy(update={"source": "typed", "model_sha256": "", **figures})
    with changes(here.folder, "typed", project=here.project) as change:
        change.put(one.model_copy(update={"shape": shape}))


def test_both_figures_are_shown_and_nothing_is_taken_unasked(project: Path) -> None:
    typed_by_hand(project, "SB-120", width_mm=Decimal(95), setups=5)
    before = (project / "parts/SB-120.toml").read_bytes()
    done = measure_part(project, "SB-120")
    rows = {row[0]: row[1:] for row in done.value.rows}
    sha = done.value.shape.sha256
    assert rows["width_mm"] == ("95", "90", f"from model, {sha[:8]}; differs")
    assert rows["length_mm"] == ("140", "140", f"from model, {sha[:8]}")
    assert done.written == ()
    assert (project / "parts/SB-120.toml").read_bytes() == before


def test_figures_are_taken_one_by_one_and_the_source_says_so(project: Path) -> None:
    typed_by_hand(project, "SB-120", width_mm=Decimal(95), setups=5)
    sha = measure_part(project, "SB-120", take=["width_mm"]).value.shape.sha256
    some = part(project, "SB-120").shape
    assert (some.width_mm, some.setups) == (90, 5)
    assert (some.source, some.measured, some.model_sha256) == ("typed", ("width_mm",), sha)
    measure_part(project, "SB-120", accept=True)
    all_ = part(project, "SB-120").shape
    assert (all_.setups, all_.source, all_.measured) == (3, "from model", ())
    with pytest.raises(Stopped, match="gives no 'colour'; it gives kind, length_mm"):
        measure_part(project, "SB-120", take=["colour"])


def test_pmi_is_listed_with_counts_and_taken_as_numbered_pinned_callouts(with_pmi: Path) -> None:
    listed = pmi_of(with_pmi, "SB-130")
    assert listed.written == ()
    assert listed.value.counts.startswith(
        "8 dimensions, 6 geometrical tolerances and 3 datum letters read; 0 of them without"
    )
    numbers = {one.text: one.number for one in listed.value.proposed}
    done = pmi_of(with_pmi, "SB-130", accept=[numbers["Ø20 +0.05/-0.1"], numbers["flatness 0.2"]])
    first, second = part(with_pmi, "SB-130").callouts[-2:]
    assert [one.number for one in done.value.added] == ["8", "9"]  # the part had seven
    assert (first.number, first.text, first.view) == ("8", "Ø20 +0.05/-0.1", "front")
    assert (second.number, second.what, second.view) == ("9", "flatness", "top")
    assert second.position == (Decimal("0.5"), Decimal("0.5"))  # the middle of the top face
    again = {one.text: one.standing for one in pmi_of(with_pmi, "SB-130").value.proposed}
    assert again["flatness 0.2"] == "equals callout 9"
    with pytest.raises(Stopped, match="no candidate 99; it lists 1 to 17"):
        pmi_of(with_pmi, "SB-130", accept=[99])
    with pytest.raises(Stopped, match="has no candidate 1; it has none"):
        pmi_of(with_pmi, "SB-120", accept=[1])


def test_pinned_callouts_are_balloons_in_their_view(project: Path) -> None:
    here = opened(project)
    pin = here.project.parts["SB-130"]
    where = {"position": (Decimal("0.25"), Decimal("0.5")), "view": "side"}
    bare = [one.model_copy(update={"position": None}) for one in pin.callouts]
    callouts = (bare[0].model_copy(update=where), *bare[1:])
    views = views_of(here, [pin.model_copy(update={"callouts": callouts})])["SB-130"]
    assert {view.name: [p.text for p in view.pins] for view in views} == {
        "front": [], "top": [], "side": ["1"], "isometric": [],
    }  # fmt: skip
    (one,) = next(view for view in views if view.name == "side").pins
    assert (one.x_mm, one.y_mm, one.critical) == (pytest.approx(3), pytest.approx(34), True)


def test_the_internal_sheet_names_the_face_and_is_marked(project: Path, tmp_path: Path) -> None:
    target = tmp_path / "yoke.pdf"
    done = write_shape_sheet(project, "SB-120", target)
    assert done.written == (target,)
    text = "".join(page.extract_text() for page in PdfReader(target).pages)
    assert "INTERNAL" in text
    assert "for the bore of 16 at x -63.0, y 0.0, z 48.0" in text.replace("\n", " ")
    assert "from -x" in text
    assert "responsible engineer" in text.replace("\n", " ")
    assert target.read_bytes() == write_shape_sheet(project, "SB-120", target).value


def test_a_check_says_what_was_measured_and_what_never_was(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(*_: object) -> None:
        raise AssertionError("a check starts no kernel")

    monkeypatch.setattr("rfq.geometry.measure.work_in_children", never)
    found = findings(opened(project), fast=False)
    setups = next(p for p in found if p.code == "G024")
    assert (setups.subject, setups.severity) == ("SB-120", Severity.NOTE)
    assert setups.place.path == "at x -63.0, y 0.0, z 48.0"
    assert not [p for p in findings(opened(project), fast=True) if p.code.startswith("G0")]
    shutil.rmtree(project / ".rfq/measured")
    (unmeasured,) = [p for p in findings(opened(project)) if p.code.startswith("G0")]
    assert (unmeasured.code, "SB-110, SB-120, SB-130" in unmeasured.message) == ("G031", True)


def test_figures_of_an_earlier_model_are_asked_about(project: Path) -> None:
    shutil.copy(project / "models/SB-120_A.step", project / "models/SB-130_C.step")
    (stale,) = [p for p in findings(opened(project)) if p.code == "G030"]
    assert (stale.subject, stale.severity) == ("SB-130", Severity.ASK)
    assert stale.place.file == "parts/SB-130.toml"
    assert stale.place.line > 0


def test_two_models_are_compared_for_the_list_of_revisions(
    project: Path, shapes: Any, tmp_path: Path
) -> None:
    def plate(name: str, width: float, diameter: float) -> Path:
        hole = shapes.cylinder((10, 10, -1), (0, 0, 1), diameter / 2, 20)
        made = shapes.cut(shapes.box((0, 0, 0), (80.0, width, 10.0)), hole)
        return shapes.write_step(project / "models" / name, made, name="plate")

    old, new = plate("old.step", 40, 5), plate("new.step", 42, 6)
    words = changes_between(old, new)
    assert words[1] == "overall size in y 40 -> 42 mm"
    assert {"bores Ø5 through: 1 -> 0", "bores Ø6 through: 0 -> 1"} <= set(words)
    assert changes_between(old, old) == ()
    assert changes_between(old, tmp_path / "gone.step") == ()
    here = opened(project)
    one = here.project.parts["SB-120"]
    was, now = (
        {"SB-120": one.model_copy(update={"model": one.model.model_copy(update={"path": path})})}
        for path in ("models/old.step", "models/new.step")
    )
    assert shapes_changed(here, was, now) == {"SB-120": words}
    assert shapes_changed(here, now, now) == {}


def test_each_body_of_an_assembly_becomes_a_part_with_a_model_of_its_own(
    project: Path, shapes: Any, tmp_path: Path, measured_models: Path
) -> None:
    arm = shapes.write_assembly(tmp_path / "arm.step")
    listed = list_bodies(arm).value
    assert {(one.name, one.count) for one in listed} == {("pin", 4), ("plate", 1)}
    done = take_parts(project, arm)
    assert [one.number for one in done.value] == ["pin", "plate"]
    plate = part(project, "plate")
    assert (plate.shape.length_mm, plate.shape.height_mm) == (60, 5)
    assert plate.shape.model_sha256 == plate.model.sha256
    pin = part(project, "pin")
    assert (pin.shape.kind, pin.shape.diameter_mm) == ("turned", 6)
    assert pin.internal_note == "4 of it in arm.step"
    text = (project / pin.model.path).read_text(encoding="ascii")
    assert "pin" in text
    assert "plate" not in text  # a shop that makes pins does not get the assembly
    left = take_parts(project, arm)
    assert (left.value, [p.code for p in left.problems]) == ((), ["P130", "P130"])
    number = next(one.number for one in listed if one.name == "pin")
    again = take_bodies(project, arm, replace=True, only=[number])
    assert [one.number for one in again.value] == ["pin"]
    with pytest.raises(Stopped, match="has no body 9; it has 1 to 2"):
        take_bodies(project, arm, only=[9])


def test_a_file_of_one_body_is_kept_as_it_came(project: Path, tmp_path: Path) -> None:
    source = tmp_path / "BK-7_C.step"
    shutil.copy(project / "models/SB-130_C.step", source)
    (one,) = take_parts(project, source).value
    assert (one.number, one.revision) == ("BK-7", "C")
    assert (project / "models/BK-7_C.step").read_bytes() == source.read_bytes()


PIN = """\
      ⡞⠛⠛⢳
      ⡇  ⢸
      ⡇  ⢸
      ⡇  ⢸
      ⡇  ⢸
      ⡇  ⢸
      ⡇  ⢸
      ⡇  ⢸
      ⢿⣿⣿⡿"""


def test_a_view_is_drawn_as_rows_of_dots(project: Path) -> None:
    rows = drawing_of(opened(project), "SB-130", 16, 9, view="front")
    assert [len(row) for row in rows] == [16] * 9
    assert "\n".join(row.rstrip() for row in rows) == PIN
    assert drawing_of(opened(project), "SB-140", 16, 9) == ()
    assert drawing_of(opened(project), "none", 16, 9) == ()


def test_without_the_kernel_nothing_but_measuring_suffers(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(*_: object) -> None:
        raise MissingExtra("not here")

    shutil.rmtree(project / ".rfq/measured")
    monkeypatch.setattr("rfq.geometry.measure.work_in_children", missing)
    monkeypatch.setattr("rfq.tasks.shape_findings.kernel_installed", lambda: False)
    here = opened(project)
    assert views_of(here, here.project.parts.values()) == {}
    assert drawing_of(here, "SB-130", 10, 5) == ()
    models = project / "models"
    assert changes_between(models / "SB-120_A.step", models / "SB-130_C.step") == ()
    assert not [p for p in findings(here) if p.code.startswith("G0")]
    with pytest.raises(MissingExtra):
        measure_part(project, "SB-130")
    with pytest.raises(MissingExtra):
        measure_all(project)


def run(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    with pytest.raises(SystemExit) as stop:
        main(list(words))
    said = capsys.readouterr()
    return int(stop.value.code or 0), said.out, said.err


def test_the_command_line(project: Path, capsys: pytest.CaptureFixture[str]) -> None:
    at = ("--project", str(project))
    code, out, _ = run(capsys, "measure", *at)
    assert code == 0
    assert [line.split()[0] for line in out.splitlines()[2:]] == ["SB-110", "SB-120", "SB-130"]
    code, out, _ = run(capsys, "measure", "SB-130", *at, "--json")
    figures = {one["name"]: one["measured"] for one in json.loads(out)["figures"]}
    assert (code, figures["diameter_mm"]) == (0, "12")
    code, out, _ = run(capsys, "measure", "SB-130", *at, "--pmi")
    assert (code, out.startswith("0 dimensions, 0 geometrical")) == (0, True)
    code, out, _ = run(
        capsys, "measure", "SB-130", *at, "--against", str(project / "models/SB-120_A.step")
    )
    assert code == 0
    assert "overall size in x 140 -> 12 mm" in out
    assert run(capsys, "measure", "SB-130", *at, "--draw", "top")[1].strip()
    assert run(capsys, "measure", *at, "--accept")[0] == 2
    assert run(capsys, "measure", "SB-130", *at, "--pmi-accept", "one")[0] == 2
