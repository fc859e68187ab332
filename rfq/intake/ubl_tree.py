# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""An untrusted XML file as a tree of named nodes with paths; the file is opened in the child process."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import Any


def read_xml(path: Path) -> dict[str, Any]:
    """Return the element tree as nested [name, attributes, text, children]; runs in the child."""
    from defusedxml.ElementTree import parse

    def fold(node: Any, depth: int) -> list[Any]:
        if depth > 60:
            raise RecursionError
        return [
            node.tag.rpartition("}")[2],
            {key.rpartition("}")[2]: value for key, value in node.attrib.items()},
            (node.text or "").strip()[:10_000],
            [fold(child, depth + 1) for child in node if isinstance(child.tag, str)],
        ]

    root: Any = parse(str(path), forbid_dtd=True).getroot()
    return {"root": fold(root, 0), "namespace": root.tag.partition("}")[0].lstrip("{")}


@dataclass(slots=True)
class Node:
    """One element, with its path for places."""

    name: str
    attributes: dict[str, str]
    text: str
    children: list[Node] = field(default_factory=list)
    path: str = ""

    def all(self, path: str) -> list[Node]:
        """Return the elements at a path such as 'LineItem/Price'."""
        found = [self]
        for name in path.split("/"):
            found = [child for node in found for child in node.children if child.name == name]
        return found

    def one(self, path: str) -> Node | None:
        """Return the first element at a path, or None."""
        return next(iter(self.all(path)), None)

    def value(self, path: str) -> str:
        """Return the text of the first element at a path, or ''."""
        node = self.one(path)
        return node.text if node else ""

    def number(self, path: str) -> Decimal | None:
        """Return a decimal, or None where there is none or no number."""
        try:
            number = Decimal(self.value(path))
        except InvalidOperation:
            return None
        return number if number.is_finite() else None


def tree_of(raw: list[Any], path: str = "") -> Node:
    """Return the child process answer as nodes."""
    name, attributes, text, children = raw
    node = Node(name, attributes, text, path=f"{path}/{name}" if path else name)
    seen: dict[str, int] = {}
    for child in children:
        seen[child[0]] = seen.get(child[0], 0) + 1
        made = tree_of(child, node.path)
        if seen[child[0]] > 1:
            made = tree_of([f"{child[0]}", child[1], child[2], child[3]], node.path)
            made.path = f"{node.path}/{child[0]}[{seen[child[0]]}]"
            _renumber(made)
        node.children.append(made)
    return node


def _renumber(node: Node) -> None:
    for child in node.children:
        child.path = f"{node.path}/{child.path.rpartition('/')[2]}"
        _renumber(child)
