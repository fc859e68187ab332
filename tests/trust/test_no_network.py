"""No command, and no process it starts, opens a connection; nothing is evaluated or unpickled.

An audit hook (PEP 578) sees every socket, every process and every code object that Python makes,
also inside libraries; ``sitecustomize`` puts it into the children as well.
"""

from __future__ import annotations

import ast
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
GUARD = """
import os, sys
LOG = os.environ["RFQ_TEST_GUARD"]
def watch(event, args):
    bad = event.startswith(("socket.", "os.system", "os.exec", "os.spawn", "webbrowser", "urllib",
        "ftplib", "smtplib", "http.client", "pickle.find_class"))
    if event == "subprocess.Popen":
        # Our own interpreter on our own module is the guard for untrusted files; nothing else.
        ours = os.path.realpath(str(args[1][0])) == os.path.realpath(sys.executable)
        # Whose journal it is, and the merge driver of a clone: git's own settings, on this machine.
        asked = list(args[1])[:2] == ["git", "config"]
        bad = not ours and not asked
    if bad:
        with open(LOG, "a") as log:
            log.write(event + " " + repr(args)[:300] + "\\n")
sys.addaudithook(watch)
"""


@pytest.fixture(scope="module")
def guarded(tmp_path_factory: pytest.TempPathFactory):
    """Return a function that runs commands of rfq under the guard and returns (code, calls)."""
    folder = tmp_path_factory.mktemp("guard")
    (folder / "sitecustomize.py").write_text(GUARD)
    log = folder / "calls"

    def run(*commands: list[str], cwd: Path) -> list[tuple[list[str], int, str]]:
        script = (
            "import json, sys\nfrom rfq.cli.main import main\ncodes = []\n"
            "for args in json.loads(sys.argv[1]):\n"
            "    try:\n        main(args)\n"
            "    except SystemExit as stop:\n        codes.append(stop.code)\n"
            "print('CODES', json.dumps(codes), file=sys.stderr)\n"
        )
        log.write_text("")
        env = {**os.environ, "PYTHONPATH": str(folder), "RFQ_TEST_GUARD": str(log)}
        out = subprocess.run(
            [sys.executable, "-c", script, json.dumps(commands)],
            cwd=cwd, env=env, capture_output=True, text=True, check=False,
        )  # fmt: skip
        assert "CODES" in out.stderr, out.stderr[-3000:]
        codes = json.loads(out.stderr.rpartition("CODES")[2])
        return [(list(c), code, log.read_text()) for c, code in zip(commands, codes, strict=True)]

    return run


def test_the_guard_sees_a_connection(guarded, tmp_path: Path) -> None:
    """The guard itself, proven on a program that does call out."""
    env_file = tmp_path / "calls"
    env_file.write_text("")
    (tmp_path / "sitecustomize.py").write_text(GUARD)
    code = (
        "import socket, subprocess, sys\n"
        "try: socket.create_connection(('127.0.0.1', 9), 0.1)\nexcept OSError: pass\n"
        "subprocess.run(['true'], check=False)\n"
    )
    env = {**os.environ, "PYTHONPATH": str(tmp_path), "RFQ_TEST_GUARD": str(env_file)}
    subprocess.run([sys.executable, "-c", code], env=env, check=True)
    seen = env_file.read_text()
    assert "socket.connect" in seen and "subprocess.Popen" in seen


def test_no_command_calls_out(guarded, tmp_path: Path) -> None:
    from rfq.cli.main import COMMANDS

    ran = guarded(
        ["demo", "d", "--no-app"],
        ["check", "d"],
        ["package", "d", "--shop", "oakvane"],
        ["import", "d/incoming/oakvane-mail.eml", "--project", "d", "--shop", "oakvane"],
        ["cost", "d"],
        ["routes", "SB-110", "--project", "d"],
        ["savings", "SB-110", "--project", "d"],
        ["compare", "d", "--json"],
        ["rounds", "d"],
        ["award", "d"],
        ["order", "d"],
        ["first-article", "SB-110", "nowhere.csv", "--project", "d"],
        ["history", "d"],
        ["export", "d", "--to", "out"],
        ["measure", "SB-110", "--project", "d"],
        ["parts", "d/drawings", "--project", "d"],
        ["schema", "part"],
        ["undo", "d"],
        ["join", "d"],
        ["new", "n"],
        ["check", "n"],
        cwd=tmp_path,
    )  # fmt: skip
    assert {args[0] for args, _, _ in ran} == set(COMMANDS) - {"open"}
    assert ran[-1][2] == ""
    codes = {tuple(args): code for args, code, _ in ran}
    assert codes["demo", "d", "--no-app"] in (0, 1)
    assert codes["compare", "d", "--json"] == 0


def test_files_are_private_to_the_user_and_no_programs(guarded, tmp_path: Path) -> None:
    """No written file is executable or writable by others, whatever came in with a reply."""
    old = os.umask(0o022)
    try:
        shutil.copytree(ROOT / "demo_project", tmp_path / "d")
        file = tmp_path / "d" / "incoming" / "oakvane-mail.eml"
        file.chmod(0o777)
        guarded(
            ["import", str(file), "--project", "d", "--shop", "oakvane"],
            ["package", "d", "--shop", "oakvane"],
            cwd=tmp_path,
        )  # fmt: skip
    finally:
        os.umask(old)
    made = [path for path in (tmp_path / "d" / "requests").rglob("*") if path.is_file()]
    made += [path for path in (tmp_path / "d" / "journal").rglob("*") if path.is_file()]
    assert len(made) > 10
    for path in made:
        assert path.stat().st_mode & 0o133 == 0, (oct(path.stat().st_mode), path)


FORBIDDEN = {
    "pickle", "marshal", "shelve", "dill", "socket", "ssl", "urllib.request", "http", "http.client",
    "ftplib", "smtplib", "imaplib", "poplib", "telnetlib", "xmlrpc", "requests", "httpx", "aiohttp",
    "urllib3", "webbrowser", "pty", "code", "codeop",
}  # fmt: skip
CALLS = {"eval", "exec", "compile", "__import__"}


SOURCES = sorted((ROOT / "rfq").rglob("*.py"))


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ROOT)))
def test_nothing_can_call_out_run_or_unpickle(path: Path) -> None:
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            assert not {alias.name for alias in node.names} & FORBIDDEN, node.lineno
        elif isinstance(node, ast.ImportFrom):
            assert node.module not in FORBIDDEN, node.lineno
        elif isinstance(node, ast.Call):
            called = ast.unparse(node.func)
            assert called not in CALLS, node.lineno
            assert called not in ("os.system", "os.popen", "pd.read_pickle"), node.lineno
            assert not called.startswith(("os.exec", "os.spawn")), node.lineno
            for keyword in node.keywords:
                assert keyword.arg != "shell", node.lineno
                assert keyword.arg != "allow_pickle", node.lineno
