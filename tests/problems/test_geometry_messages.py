"""The gallery of the models: every problem code (G) made to happen, with what it says.

What the kernel tells is put in its place as an answer, so that each message has its own case; that
real files lead to these answers is proven in tests/geometry.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from dataclasses import asdict, replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from rfq.geometry.measure import measure
from rfq.geometry.savings import shape_savings
from rfq.geometry.shape import (
    Access,
    Body,
    FlatPair,
    InnerRadius,
    MeasuredShape,
    Pmi,
    Pocket,
)
from rfq.model.part import FileRef, Part, Shape
from rfq.model.project import Settings
from rfq.problems import RfqError, Unreadable
from rfq.store.save import changes
from rfq.tasks.assembly import take_bodies
from rfq.tasks.done import Stopped
from rfq.tasks.measure import measure_all, measure_part
from rfq.tasks.open import opened
from rfq.tasks.pmi import pmi_of
from rfq.tasks.shape_findings import shape_findings

ROOT = Path(__file__).parent.parent.parent
UP, DOWN = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
BLOCK = MeasuredShape(
    file="", sha256="", unit="millimetre", bodies=(Body(1, "block", 1, 8000, 2400, (20, 20, 20)),),
    body=0, solids=1, open_edges=0, faces_lost=0, volume_mm3=8000, volume_in_file_mm3=None,
    area_mm2=2400, centre_mm=(10, 10, 10), box_mm=(20, 20, 20), box_low_mm=(0, 0, 0),
    oriented_box_mm=(20, 20, 20), file_box_mm=(20, 20, 20), surfaces=(), bores=(), inner_radii=(),
    smallest_concave_radius_mm=None, concave_cylinders=0, pockets=(), thinnest_wall=None,
    convex_edge_mm=240, flat_pairs=(FlatPair(UP, 20, 400, True, ((10, 10, 20), (10, 10, 0))),),
    turning=None, access=Access((UP, DOWN), 0, 0), pmi=Pmi(), views=(),
)  # fmt: skip
SCREW = Body(2, "screw", 2, 100, 150, (5, 5, 5))

Answer = dict[str, Any] | None


def part_file(folder: Path, data: bytes = b"ISO-10303-21;\nHEADER;\n") -> Path:
    path = folder / "lever.step"
    path.write_bytes(data)
    return path


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> Callable[[Answer | RfqError], None]:
    """Set what the kernel answers."""

    def set_answer(answer: Answer | RfqError) -> None:
        def work(jobs: Any, *_: Any) -> dict[str, Any]:
            if isinstance(answer, RfqError):
                raise answer
            data = None if answer is None else json.dumps(answer).encode()
            return {job: data if job != "draw" else b'{"found": []}' for job in jobs}

        monkeypatch.setattr("rfq.geometry.measure.work_in_children", work)
        monkeypatch.setattr("rfq.geometry.bodies.work_in_children", work)

    return set_answer


FILES: dict[str, tuple[bytes, str]] = {
    "G001": (
        b"%PDF-1.7\n",
        "lever.step: does not start as a STEP file (ISO-10303-21) but like a PDF; export the model "
        "as STEP AP242 or AP214",
    ),
    "G002": (b" \n", "lever.step: is empty; export the model again"),
}


@pytest.mark.parametrize("code", FILES)
def test_files_that_never_reach_the_kernel(code: str, tmp_path: Path) -> None:
    data, words = FILES[code]
    (problem,) = measure(part_file(tmp_path, data)).problems
    assert (problem.code, str(problem)) == (code, words)


def refused(code: str, message: str) -> Answer:
    return {"refused": code, "message": message}


def shape(**figures: Any) -> Answer:
    return {"found": asdict(replace(BLOCK, **figures))}


ANSWERS: dict[str, tuple[Answer, str]] = {
    "G003": (
        refused("G003", "holds no solid; export the part itself, not a drawing or a link"),
        "lever.step: holds no solid; export the part itself, not a drawing or a link",
    ),
    "G004": (
        refused("G004", "holds only a tessellated mesh; export it as a solid"),
        "lever.step: holds only a tessellated mesh; export it as a solid",
    ),
    "G005": (
        None,
        "lever.step: makes the geometry kernel fail; repair or export it again",
    ),
    "G006": (
        refused("G006", "holds more than 5000 parts; export the one to be made"),
        "lever.step: holds more than 5000 parts; export the one to be made",
    ),
    "G010": (
        shape(solids=3, bodies=(*BLOCK.bodies, SCREW)),
        "lever.step: holds 3 solids (2 different), measured together; choose the body that is the "
        "part",
    ),
    "G011": (
        shape(volume_in_file_mm3=7000.0),
        "lever.step: measures 8,000 mm³ but states 7,000 mm³ itself (+14.3 %); compare with the "
        "modeller before leaning on the mass",
    ),
    "G012": (
        shape(pmi=Pmi(not_understood=("a dimension without content",))),
        "lever.step: has 1 dimension or tolerances that were not understood (first: a dimension "
        "without content); read them from the drawing",
    ),
    "G013": (shape(), "lever.step: could not be drawn; no views of it"),
    "G014": (
        shape(open_edges=4),
        "lever.step: is not closed (4 edges have a face on one side only): the figures, above all "
        "the mass, may be wrong; repair it and export again",
    ),
    "G015": (
        shape(faces_lost=2),
        "lever.step: describes 2 faces that ended up in no solid: lost, and then the figures are "
        "wrong, or construction surfaces; compare the mass with the modeller",
    ),
}


@pytest.mark.parametrize("code", ANSWERS)
def test_what_the_kernel_tells(
    code: str, tmp_path: Path, told: Callable[[Answer | RfqError], None]
) -> None:
    answer, words = ANSWERS[code]
    told(answer)
    problem = next(p for p in measure(part_file(tmp_path)).problems if p.code == code)
    assert str(problem) == words


SAVINGS: dict[str, tuple[dict[str, Any], str]] = {
    "G020": (
        {"inner_radii": (InnerRadius(2.0, "corner", 4, 18.0, (5, 5, 9), UP),)},
        "m.step[at x 5.0, y 5.0, z 9.0]: 4 inner corners of R2 at most 18 deep (one at x 5.0, y "
        "5.0, z 9.0) take a cutter of 3 mm, 6.0 times its diameter: a long cutter, slow; R2.5 lets "
        "4 mm in",
    ),
    "G021": (
        {"pockets": (Pocket(18.0, 4.0, UP, (5, 5, 2)),)},
        "m.step[at x 5.0, y 5.0, z 2.0]: the pocket with its floor at x 5.0, y 5.0, z 2.0 is 18 "
        "deep and 4 wide, 4.5 to 1; 6.0 wide, or open at a side, takes an ordinary cutter",
    ),
    "G022": (
        {"flat_pairs": ()},
        "m.step: no two parallel outer flats are large enough for a vice, and no round outside for "
        "a chuck (there is none); two flats of 200 mm² or a lug to cut off last save a fixture",
    ),
    "G023": (
        {},
        "m.step: 20 mm thickness with 2 mm a side to clean up needs stock of 30 mm; 1.0 mm less "
        "(19) comes out of 23 mm",
    ),
    "G024": (
        {"access": Access((UP, DOWN, (1.0, 0.0, 0.0)), 0, 0)},
        "m.step: the shape is cut from 3 sides where 2 would be the fewest (more than those: from "
        "+x); what lies on those sides could move",
    ),
}


@pytest.mark.parametrize("code", SAVINGS)
def test_what_costs_without_need(code: str) -> None:
    figures, words = SAVINGS[code]
    found = shape_savings(replace(BLOCK, **figures), (23, 30))
    problem = next(p for one in found if (p := one.as_problem("LV-1", "m.step")).code == code)
    assert str(problem) == words
    assert "responsible engineer" in problem.why


@pytest.fixture
def project(tmp_path: Path) -> Path:
    folder = tmp_path / "bench"
    part = Part(
        number="LV-1", revision="A", name="lever", material="POM-C",
        model=FileRef(path="lever.step"), shape=Shape(model_sha256="0" * 64),
    )  # fmt: skip
    folder.mkdir()
    with changes(folder, "made", fresh=True) as change:
        change.put(Settings(name="bench"))
        change.put(part)
    part_file(folder)
    return folder


def stopped(act: Callable[[], object]) -> str:
    with pytest.raises(Stopped) as stop:
        act()
    (problem,) = stop.value.problems
    return f"{problem.code} {problem}"


def test_what_the_tasks_say(project: Path, told: Callable[[Answer | RfqError], None]) -> None:
    told(shape())
    assert stopped(lambda: measure_part(project, "LV-2")) == (
        "G041 parts/: there is no part 'LV-2'; rfq parts takes models in."
    )
    assert stopped(lambda: measure_part(project, "LV-1", take=["size"])).startswith(
        "G042 LV-1: the model gives no 'size'; it gives kind, length_mm, "
    )
    assert stopped(lambda: pmi_of(project, "LV-1", accept=[1])) == (
        "G043 lever.step: the model of LV-1 has no candidate 1; it has none."
    )
    told({"found": [{"body": asdict(BLOCK.bodies[0]), "text": ""}]})
    assert stopped(lambda: take_bodies(project, project / "lever.step", only=[4])) == (
        "G007 lever.step: has no body 4; it has 1 to 1 (--list shows them)."
    )
    told(Unreadable("lever.step cannot be opened: no"))
    (problem,) = measure_all(project).problems
    assert f"{problem.code} {problem}" == "G040 LV-1: lever.step cannot be opened: no"


def test_what_a_check_says(
    project: Path, told: Callable[[Answer | RfqError], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("rfq.tasks.shape_findings.kernel_installed", lambda: True)
    here = opened(project)
    parts = tuple(here.project.parts.values())
    (never,) = shape_findings(here, parts)
    assert f"{never.code} {never}" == (
        "G031 parts/: models not measured yet: LV-1; 'rfq measure' reads them and finds what their "
        "shape costs without need."
    )
    keep = BLOCK
    digest = "4b46ee5c"
    monkeypatch.setattr(
        "rfq.tasks.shape_findings.measured_before",
        lambda *_: replace(keep, sha256=digest.ljust(64, "0")),
    )
    (stale,) = shape_findings(here, parts)
    assert f"{stale.code} {stale}" == (
        "G030 parts/LV-1.toml[shape.model_sha256]: the figures of LV-1 are from a model 00000000, "
        "but the file is 4b46ee5c now; measure it again (rfq measure LV-1)."
    )
    longer = Shape(length_mm=Decimal(25))
    (other,) = shape_findings(here, (parts[0].model_copy(update={"shape": longer}),))
    assert f"{other.code} {other}" == (
        "G032 parts/LV-1.toml[shape.length_mm]: length_mm of LV-1 is typed as 25, its model gives "
        "20; take it (rfq measure LV-1 --take length_mm) or see whether the model is the right one."
    )


def test_every_code_of_models_is_shown() -> None:
    used: set[str] = set()
    for path in (*(ROOT / "rfq/geometry").glob("*.py"), *(ROOT / "rfq/tasks").glob("*.py")):
        used |= set(re.findall(r'"(G0\d\d)"', path.read_text(encoding="utf-8")))
    here = set(re.findall(r"\b(G0\d\d)\b", Path(__file__).read_text(encoding="utf-8")))
    assert used - here == set()
