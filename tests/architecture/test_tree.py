"""The house keeps its rules: lengths, names, docstrings, purity, no stray files."""

from __future__ import annotations

import ast
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCES = sorted((ROOT / "rfq").rglob("*.py"))
PURE = [path for path in SOURCES if path.relative_to(ROOT).parts[1] in ("engine", "model")]
TOP = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "rfq", "templates", "tests", "demo_project",
}  # fmt: skip
MOST_LINES = 400


def _tracked() -> list[str]:
    out = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if out.returncode:
        pytest.skip("not a git checkout")
    return out.stdout.splitlines()


def test_top_level_is_what_the_card_says() -> None:
    names = {name.split("/", 1)[0] for name in _tracked()}
    assert {name for name in names if not name.startswith(".")} == TOP


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_file_is_too_long_without_a_reason(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if text.count("\n") > MOST_LINES:
        head = ast.get_docstring(ast.parse(text)) or ""
        assert "Longer than 400 lines because" in head


def test_no_vague_names() -> None:
    vague = {"utils", "util", "misc", "helpers", "helper", "common", "tools"}
    assert not [path for path in SOURCES if path.stem in vague or vague & set(path.parts)]


def test_every_folder_says_what_it_holds() -> None:
    for folder in {path.parent for path in SOURCES}:
        doc = ast.get_docstring(ast.parse((folder / "__init__.py").read_text(encoding="utf-8")))
        assert doc, folder
        assert len(doc.splitlines()) <= 25, folder


@pytest.mark.parametrize("path", PURE, ids=lambda p: str(p.relative_to(ROOT)))
def test_the_engine_has_no_clock_no_files_no_state(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in ("open", "print", "input", "eval", "exec"), node.lineno
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            dotted = ast.unparse(node.func)
            assert dotted not in ("datetime.now", "date.today", "datetime.utcnow"), node.lineno
        assert not isinstance(node, ast.Global), node.lineno


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_nothing_evaluates_or_unpickles(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            assert not {alias.name for alias in node.names} & {"pickle", "marshal", "shelve"}
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            assert node.func.id not in ("eval", "exec"), node.lineno
        if isinstance(node, ast.keyword) and node.arg == "shell":
            assert not (isinstance(node.value, ast.Constant) and node.value.value), node.value
