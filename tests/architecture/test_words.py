"""One word for one thing: what the glossary rules out appears on no screen and in no document.

The glossary stands in DEVELOPERS.md, 'Names and where they come from'.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from rfq.cli.main import COMMANDS, rfq

ROOT = Path(__file__).resolve().parents[2]
RULED_OUT = re.compile(
    r"\b(suppliers?|vendors?|bidders?|bids?|accus\w+|scores?|scored|scoring|scorecards?|badges?"
    r"|outliers?|anomal(?:y|ies|ous)|suspects?|suspicious|dashboards?|wizards?|traffic lights?"
    r"|workflows?|quotations? file)\b",
    re.IGNORECASE,
)
ALLOWED = re.compile(r"sub-suppliers")  # the trade's word for a shop's own shops
FOREIGN = ("intake",)  # its strings are the words of other people's files
TEXTS = [
    ROOT / "README.md",
    ROOT / "rfq" / "CHANGES.md",
    *sorted((ROOT / "templates").iterdir()),
    *sorted((ROOT / "rfq" / "tui" / "help").glob("*.md")),
    *sorted((ROOT / "demo_project").rglob("*.toml")),
]


def ruled_out(text: str) -> list[str]:
    return RULED_OUT.findall(ALLOWED.sub("", text))


def said_in(path: Path) -> Iterator[tuple[int, str]]:
    """The strings of a module that may be shown: all but docstrings."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.lineno, node.value


def test_no_text_says_a_word_that_is_ruled_out() -> None:
    found = {path.name: ruled_out(path.read_text(encoding="utf-8")) for path in TEXTS}
    assert {name: words for name, words in found.items() if words} == {}


def test_nothing_shown_says_a_word_that_is_ruled_out() -> None:
    found = [
        (str(path.relative_to(ROOT)), line, text)
        for path in sorted((ROOT / "rfq").rglob("*.py"))
        if path.relative_to(ROOT).parts[1] not in FOREIGN
        for line, text in said_in(path)
        if ruled_out(text)
    ]
    assert found == []


def tree(command: click.Command, name: str) -> Iterator[tuple[str, click.Command]]:
    yield name, command
    if isinstance(command, click.Group):
        for inner in command.list_commands(click.Context(command)):
            found = command.get_command(click.Context(command), inner)
            assert found is not None
            yield from tree(found, f"{name} {inner}")


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_no_command_or_option_says_a_word_that_is_ruled_out(name: str) -> None:
    top = rfq.get_command(click.Context(rfq), name)
    assert top is not None
    for full, command in tree(top, name):
        said = [full, command.help or "", *(str(p.name) for p in command.params)]
        said += [getattr(p, "help", None) or "" for p in command.params]
        said += [option for p in command.params for option in p.opts]
        assert not ruled_out(" ".join(said)), full
