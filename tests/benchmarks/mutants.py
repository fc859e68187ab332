"""Mutation testing of the rooms where a wrong sign costs money: how many mutants do tests kill?

``python tests/benchmarks/mutants.py [MUTANTS] [SECONDS]``: a random sample, seeded, of all mutants
of engine/normalise, engine/compare, engine/standards and store (a full run takes a day). A mutant
is one change of the syntax tree: a comparison, an operator of arithmetic or logic, a constant, a
condition turned round, a return value dropped. Each runs in a copy of the source, against that
room's own tests and the outside checks, stopping at the first failure. A mutant that no test can
tell from the original (an equal one) counts as alive all the same. Prints every survivor.
"""

from __future__ import annotations

import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ROOMS = {
    "engine/normalise": ["tests/engine/normalise", "tests/published/test_bridge_worked_example.py",
                         "rfq/engine/normalise", "tests/engine/compare"],
    "engine/compare": ["tests/engine/compare", "rfq/engine/compare",
                       "tests/published/test_odd_prices_known_answers.py"],
    "engine/standards": ["tests/engine/standards", "rfq/engine/standards", "tests/engine/checks",
                         "tests/published/test_iso286.py", "tests/published/test_iso2768.py",
                         "tests/published/test_iso965.py", "tests/published/test_small_tables.py"],
    "store": ["tests/store"],
}  # fmt: skip
COMPARE = {ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
           ast.NotEq: ast.Eq, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot,
           ast.IsNot: ast.Is}  # fmt: skip
ARITHMETIC = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
              ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult}  # fmt: skip


def spots(tree: ast.AST) -> list[tuple[ast.AST, str]]:
    """Every place that can be changed, with what is changed; docstrings and hints left out."""
    found: list[tuple[ast.AST, str]] = []

    def walk(node: ast.AST) -> None:
        for name, child in ast.iter_fields(node):
            if name in ("annotation", "returns", "decorator_list", "type_params"):
                continue
            for one in child if isinstance(child, list) else [child]:
                if not isinstance(one, ast.AST):
                    continue
                if isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant):
                    continue  # a docstring
                if isinstance(one, ast.JoinedStr | ast.Import | ast.ImportFrom | ast.Assert):
                    continue  # words for people; their tests are the gallery's
                if isinstance(one, ast.Compare) and type(one.ops[0]) in COMPARE:
                    found.append((one, "comparison"))
                elif isinstance(one, ast.BinOp | ast.AugAssign) and type(one.op) in ARITHMETIC:
                    found.append((one, "arithmetic"))
                elif isinstance(one, ast.BoolOp):
                    found.append((one, "logic"))
                elif isinstance(one, ast.Constant) and isinstance(one.value, bool | int | float):
                    found.append((one, "constant"))
                elif isinstance(one, ast.UnaryOp) and isinstance(one.op, ast.Not | ast.USub):
                    found.append((one, "sign"))
                elif isinstance(one, ast.If | ast.IfExp):
                    found.append((one, "condition"))
                elif isinstance(one, ast.Return) and one.value is not None:
                    if not (isinstance(one.value, ast.Constant) and one.value.value is None):
                        found.append((one, "return"))
                elif isinstance(one, ast.Continue | ast.Break):
                    found.append((one, "loop"))
                walk(one)

    walk(tree)
    return found


def change(node: ast.AST, what: str) -> ast.AST:
    """The changed node."""
    new = copy.deepcopy(node)
    if what == "comparison":
        new.ops[0] = COMPARE[type(new.ops[0])]()  # type: ignore[attr-defined]
    elif what == "arithmetic":
        new.op = ARITHMETIC[type(new.op)]()  # type: ignore[attr-defined]
    elif what == "logic":
        new.op = ast.And() if isinstance(new.op, ast.Or) else ast.Or()  # type: ignore[attr-defined]
    elif what == "constant":
        value = new.value  # type: ignore[attr-defined]
        new.value = (not value) if isinstance(value, bool) else value + 1  # type: ignore[attr-defined]
    elif what == "sign":
        return new.operand  # type: ignore[attr-defined, no-any-return]
    elif what == "condition":
        new.test = ast.UnaryOp(ast.Not(), new.test)  # type: ignore[attr-defined]
    elif what == "return":
        new.value = ast.Constant(None)  # type: ignore[attr-defined]
    elif what == "loop":
        return ast.Break() if isinstance(new, ast.Continue) else ast.Continue()
    return new


class Swap(ast.NodeTransformer):
    """Puts one node in place of another."""

    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> ast.AST:
        return self.new if node is self.old else self.generic_visit(node)


def survives(home: Path, tests: list[str], seconds: float) -> bool:
    """Whether the tests pass on the changed source."""
    env = {**os.environ, "PYTHONPATH": str(home), "PYTHONDONTWRITEBYTECODE": "1"}
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider",
               "--doctest-modules", *tests]  # fmt: skip
    try:
        out = subprocess.run(
            command, cwd=home, env=env, capture_output=True, timeout=seconds, check=False
        )
    except subprocess.TimeoutExpired:
        return False
    return out.returncode == 0


def main() -> int:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    budget = float(sys.argv[2]) if len(sys.argv) > 2 else 3600.0
    dice = random.Random(20261125)
    with tempfile.TemporaryDirectory(prefix="rfq-mutants-") as scratch:
        home = Path(scratch) / "rfq-copy"
        shutil.copytree(
            ROOT, home, ignore=shutil.ignore_patterns(".git", ".*_cache", "__pycache__")
        )
        for room, tests in ROOMS.items():
            assert survives(home, tests, 600), f"{room}: the tests fail on the unchanged source"
        everything = []
        for room in ROOMS:
            for path in sorted((home / "rfq" / room).rglob("*.py")):
                tree = ast.parse(path.read_text(encoding="utf-8"))
                everything += [(room, path, at) for at in range(len(spots(tree)))]
        sample = dice.sample(everything, min(count, len(everything)))
        begun, tried, killed = time.monotonic(), dict.fromkeys(ROOMS, 0), dict.fromkeys(ROOMS, 0)
        for room, path, at in sample:
            if time.monotonic() - begun > budget:
                break
            text = path.read_text(encoding="utf-8")
            tree = ast.parse(text)
            node, what = spots(tree)[at]
            line = getattr(node, "lineno", 0)
            path.write_text(
                ast.unparse(Swap(node, change(node, what)).visit(tree)), encoding="utf-8"
            )
            alive = survives(home, ROOMS[room], 180)
            path.write_text(text, encoding="utf-8")
            tried[room] += 1
            killed[room] += not alive
            if alive:
                shown = text.splitlines()[line - 1].strip()
                print(f"alive: {path.relative_to(home)}:{line} {what}: {shown}", flush=True)
        for room in ROOMS:
            if tried[room]:
                share = killed[room] / tried[room]
                print(f"| {room} | {killed[room]} of {tried[room]} | {share:.0%} |")
        done, all_killed = sum(tried.values()), sum(killed.values())
        whole = f"{all_killed} of {done} (sample of {len(everything)})"
        print(f"| all | {whole} | {all_killed / done:.0%} |")
    return 0 if all_killed >= 0.85 * done else 1


if __name__ == "__main__":
    sys.exit(main())
