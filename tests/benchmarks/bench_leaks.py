"""No leak from 100 made projects: the demo's records, shuffled, with a marker in every secret.

Run: ``pytest -m benchmark -s tests/benchmarks/bench_leaks.py`` (about three seconds a project),
or ``python tests/benchmarks/bench_leaks.py [PROJECTS]``. Each project has its own draw of parts,
quantities, shops and who is asked for what; the whole job of
``tests/trust/test_leaks_everywhere.py`` is run on it and everything outgoing is looked through.
"""

from __future__ import annotations

import contextlib
import importlib.util
import io
import random
import shutil
import sys
import tempfile
from pathlib import Path

import pytest

from rfq.model.request import Asked, RequestLine
from rfq.store.load import load_project
from rfq.store.save import changes

ROOT = Path(__file__).resolve().parents[2]
_spec = importlib.util.spec_from_file_location(
    "leaks_everywhere", ROOT / "tests" / "trust" / "test_leaks_everywhere.py"
)
assert _spec is not None and _spec.loader is not None
everywhere = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(everywhere)


def made_project(folder: Path, dice: random.Random) -> Path:
    """A copy of the demo with a draw of its parts, quantities and shops."""
    shutil.copytree(ROOT / "demo_project", folder, ignore=shutil.ignore_patterns("models"))
    project = load_project(folder).get()
    request = project.request()
    assert request is not None
    parts = dice.sample(sorted(project.parts), dice.randint(1, 4))
    shops = dice.sample([one.shop for one in request.asked], dice.randint(2, 4))
    lines = tuple(line for line in request.lines if line.part in parts)
    asked = tuple(
        Asked(shop=shop, parts=tuple(sorted(dice.sample(parts, dice.randint(1, len(parts))))))
        for shop in shops
    )
    lines = tuple(
        RequestLine(part=line.part, quantities=line.quantities[: dice.randint(1, 3)])
        for line in lines
    )
    with changes(folder, "drawn", project=project) as change:
        change.put(request.model_copy(update={"lines": lines, "asked": asked}))
    for file in (folder / "incoming").iterdir():
        if file.name.split("-", 1)[0] not in shops:
            file.unlink()
    return folder


def run(count: int) -> tuple[int, int, int, list[str]]:
    """Return projects, files looked at, markers planted, and what leaked."""
    files = markers = 0
    leaked: list[str] = []
    for seed in range(count):
        with tempfile.TemporaryDirectory() as home:
            source = made_project(Path(home) / "source", random.Random(seed))
            folder, planter = Path(home) / "project", everywhere.Planter()
            quiet = io.StringIO()
            with contextlib.redirect_stdout(quiet), contextlib.redirect_stderr(quiet):
                everywhere.whole_job(source, folder, planter)
            shops = load_project(folder).get().shops
            out = everywhere.outgoing_files(folder, shops)
            assert sum(map(len, out.values())) > 4, quiet.getvalue()[-2000:]
            files += sum(map(len, out.values()))
            markers += len(planter.owner)
            leaked += [f"{seed}: {one}" for one in everywhere.leaks_of(folder, planter)]
    return count, files, markers, leaked


@pytest.mark.benchmark
def test_a_hundred_projects_leak_nothing() -> None:
    projects, files, markers, leaked = run(100)
    print(f"\nleaks: {projects} projects, {files} files, {markers} markers, {len(leaked)} leaked")
    assert leaked == []


if __name__ == "__main__":
    found = run(int(sys.argv[1]) if len(sys.argv) > 1 else 100)
    print(f"{found[0]} projects, {found[1]} files, {found[2]} markers, {len(found[3])} leaked")
    print("\n".join(found[3][:20]))
    sys.exit(bool(found[3]))
