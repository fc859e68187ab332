"""README says what the code does: commands, version, the two commands CI reads from it."""

from __future__ import annotations

import re
from pathlib import Path

import rfq
from rfq.cli.main import COMMANDS

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_every_command_stands_in_the_readme_with_its_words() -> None:
    block = README.split("<!-- commands -->")[1].split("<!-- end of commands -->")[0]
    rows = dict(re.findall(r"\| `rfq ([\w-]+)` \| (.+?) \|", block))
    assert rows == {name: words for name, (_, words) in COMMANDS.items()}


def test_the_readme_opens_with_the_job() -> None:
    first = README.split("## ")[0]
    assert first.startswith("# rfq\n\nYou design")
    assert len(re.findall(r"\n\n", first.strip())) == 1, "one paragraph"


def test_the_commands_that_ci_reads_are_there() -> None:
    for name in ("demo", "tests"):
        after = README.split(f"<!-- {name} -->\n```sh\n")[1].split("```")[0]
        assert after.startswith("python3 -m venv .venv && ")


def test_changes_name_this_version() -> None:
    text = (ROOT / "rfq" / "CHANGES.md").read_text(encoding="utf-8")
    assert re.findall(r"^## (\S+)", text, re.M)[0] == rfq.__version__


def test_every_rfq_line_in_the_walk_is_a_command() -> None:
    for block in re.findall(r"```sh\n(.*?)```", README, re.S):
        for name in re.findall(r"^rfq ([a-z-]+)", block, re.M):
            assert name in COMMANDS, name


def test_every_key_of_the_app_stands_in_the_readme() -> None:
    from rfq.tui.keys import KEYS

    names = {"slash": "/", "plus": "+", "minus": "-", "question_mark": "?"}
    block = README.split("<!-- keys -->\n")[1].split("\n<!-- end of keys -->")[0]
    rows = []
    for screen, keys in KEYS.items():
        said = [
            f"`{' '.join(names.get(one, one) for one in key.keys.split(','))}` {key.words}"
            for key in keys
        ]
        rows.append(f"| {screen} | {', '.join(said)} |")
    assert block == "\n".join(rows)


def test_the_records_in_the_readme_are_read(tmp_path: Path) -> None:
    from rfq.store.load import load_project

    (tmp_path / "project.toml").write_text('name = "x"\n', encoding="utf-8")
    for name, text in re.findall(r"```toml\n# (\S+)\n(.*?)```", README, re.S):
        file = tmp_path / name
        file.parent.mkdir(exist_ok=True)
        file.write_text(text, encoding="utf-8")
    reading = load_project(tmp_path)
    stops = [p for p in reading.problems if p.severity == "stop"]
    assert stops == []
    project = reading.get()
    assert list(project.shops) == ["tidemill"] and list(project.parts) == ["HK-1"]


def test_the_options_in_the_walk_exist() -> None:
    import click

    from rfq.cli.main import rfq as top

    for line in re.findall(r"^(rfq [a-z-]+ .*?)(?:#|$)", README, re.M):
        name = line.split()[1]
        if name not in COMMANDS:
            continue
        command = top.get_command(click.Context(top), name)
        assert command is not None
        if isinstance(command, click.Group) and len(line.split()) > 3:
            command = command.get_command(click.Context(command), line.split()[3])
            assert command is not None, line
        known = {option for param in command.params for option in param.opts}
        assert {word for word in line.split() if word.startswith("--")} <= known, line
