"""Hand comments survive a save: each stays with the key it stood over."""

from __future__ import annotations

import tomllib

from rfq.model.base import Value
from rfq.store.locate import Path, lines_of
from rfq.store.write import render, rendered_lines


def with_comments(record: Value, old: bytes) -> str:
    """Return a record's text with the comment lines of the text it replaces.

    A comment stays over its key; one whose key is gone, or stood in a list that changed its
    length, moves to the top with the first lines, so that none is lost.

    Args:
        record: the new value.
        old: the bytes that stand in the file now.
    """
    if b"#" not in old:
        return render(record)
    try:
        text = old.decode("utf-8-sig")
        before = tomllib.loads(text)
        lines = lines_of(text)
    except (ValueError, RecursionError):
        return render(record)
    top, over = _comments(text, lines)
    if not top and not over:
        return render(record)
    out: list[str] = []
    placed: set[Path] = set()
    new = rendered_lines(record)
    after = tomllib.loads("".join(f"{line}\n" for _, line in new))
    for path, line in new:
        if path in over and path not in placed and _same_lists(before, after, path):
            indent = line[: len(line) - len(line.lstrip())]
            out.extend(f"{indent}{comment}" for comment in over[path])
            placed.add(path)
        out.append(line)
    lost = [comment for path, found in over.items() if path not in placed for comment in found]
    head = [*top, *(comment for comment in lost if comment not in top)]
    if head:
        head.append("")
    return "".join(f"{line}\n" for line in [*head, *out])


def _comments(text: str, lines: dict[Path, int]) -> tuple[list[str], dict[Path, list[str]]]:
    """Comments at the top (a blank line after them), and by the path they stand over."""
    starts: dict[int, Path] = {}
    for path, line in lines.items():
        if line not in starts or len(path) < len(starts[line]):
            starts[line] = path
    rows = text.splitlines()
    inside = _inside_strings(text)
    top: list[str] = []
    over: dict[Path, list[str]] = {}
    waiting: list[str] = []
    for number, row in enumerate(rows, start=1):
        if number in inside:
            continue
        stripped = row.strip()
        if stripped.startswith("#"):
            waiting.append(stripped)
            continue
        if number in starts:
            behind = _behind(row)
            if behind:
                waiting.append(behind)
            if waiting:
                over.setdefault(starts[number], []).extend(waiting)
                waiting = []
        elif not stripped and waiting and not over and not any(n < number for n in starts):
            top.extend(waiting)
            waiting = []
    top.extend(waiting)
    return top, over


def _behind(row: str) -> str:
    """The comment behind a value on one line, or ''."""
    for at, sign in enumerate(row):
        if sign == "#":
            try:
                tomllib.loads(row[:at].strip().rstrip(",") or "a = 0")
            except ValueError:
                continue
            return row[at:].rstrip()
    return ""


def _inside_strings(text: str) -> set[int]:
    """Lines on which a text of several lines goes on: a # there is no comment."""
    from rfq.store.locate import string_spans

    inside: set[int] = set()
    for start, end in string_spans(text):
        inside.update(range(start + 1, end + 1))
    return inside


def _same_lists(before: object, after: object, path: Path) -> bool:
    """Whether all lists along a path kept their length, so that an index still means the same."""
    for step in path:
        if isinstance(step, int):
            if not isinstance(before, list) or not isinstance(after, list):
                return False
            if len(before) != len(after):
                return False
            before, after = before[step], after[step]
        else:
            if not isinstance(before, dict) or not isinstance(after, dict):
                return False
            before, after = before.get(step), after.get(step)
    return True
