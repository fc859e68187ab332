"""Lines of keys in a TOML text; run only when a record turned out to be wrong.

tomllib forgets lines once it has read a text, so this walks a text that tomllib has already
accepted once more and notes where each key and each entry of an array stands.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}\n#]*")
_STRINGS = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)


def lines_of(text: str) -> dict[Path, int]:
    """Return the line (from 1) of every key path; entries of arrays by index from 0.

    >>> lines_of('a = 1\\n[[b]]\\nc = 2\\n')[("b", 0, "c")]
    3
    """
    return _Walk(text.removeprefix("\ufeff")).run()


def line_of(text: str, path: Path, lines: Mapping[Path, int] | None = None) -> int:
    """Return the line of a key path, or of its nearest known parent (line 1 at the least).

    Args:
        text: a TOML text that can be read.
        path: keys, and indices of array entries from 0.
        lines: what ``lines_of`` returned, when several paths are asked.
    """
    known = lines_of(text) if lines is None else lines
    for length in range(len(path), 0, -1):
        if path[:length] in known:
            return known[path[:length]]
    return 1


def string_spans(text: str) -> list[tuple[int, int]]:
    """Return first and last line of every value that is a text of several lines."""
    walk = _Walk(text.removeprefix("\ufeff"))
    walk.run()
    return walk.spans


class _Walk:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.lines: dict[Path, int] = {}
        self.entries: dict[Path, int] = {}  # arrays of tables: entries so far
        self.spans: list[tuple[int, int]] = []  # texts of several lines: first and last line

    def run(self) -> dict[Path, int]:
        base: Path = ()
        self._blank()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                base = self._header()
            else:
                self._pair(base)
            self._blank()
        return self.lines

    def _move(self, to: int) -> None:
        self.line += self.text.count("\n", self.at, to)
        self.at = to

    def _blank(self) -> None:
        found = _BLANK.match(self.text, self.at)
        if found:
            self._move(found.end())

    def _header(self) -> Path:
        many = self.text.startswith("[[", self.at)
        line = self.line
        self._move(self.at + (2 if many else 1))
        keys = self._keys()
        self._blank()
        self._move(self.at + (2 if many else 1))
        base: Path = ()
        for place, key in enumerate(keys):
            base = (*base, key)
            self.lines.setdefault(base, line)
            last = place == len(keys) - 1
            if last and many:
                self.entries[base] = self.entries.get(base, -1) + 1
            if base in self.entries:
                base = (*base, self.entries[base])
        self.lines.setdefault(base, line)
        return base

    def _keys(self) -> list[str]:
        keys = []
        while True:
            self._blank()
            quoted = _STRINGS.match(self.text, self.at)
            bare = quoted or _BARE_KEY.match(self.text, self.at)
            if bare is None:
                raise ValueError(f"no key in line {self.line}")
            keys.append(_unquote(bare.group()) if quoted else bare.group())
            self._move(bare.end())
            self._blank()
            if not self.text.startswith(".", self.at):
                return keys
            self._move(self.at + 1)

    def _pair(self, base: Path) -> None:
        line = self.line
        for key in self._keys():
            base = (*base, key)
            self.lines.setdefault(base, line)
        self._move(self.text.index("=", self.at) + 1)
        self._value(base)

    def _value(self, path: Path) -> None:
        self._blank()
        string = _STRINGS.match(self.text, self.at)
        if string:
            first = self.line
            self._move(string.end())
            if self.line > first:
                self.spans.append((first, self.line))
        elif self.text.startswith("[", self.at):
            self._array(path)
        elif self.text.startswith("{", self.at):
            self._inline(path)
        else:
            scalar = _SCALAR.match(self.text, self.at)
            self._move(scalar.end() if scalar else self.at + 1)

    def _array(self, path: Path) -> None:
        self._move(self.at + 1)
        index = 0
        while True:
            self._blank()
            if self.text.startswith("]", self.at):
                self._move(self.at + 1)
                return
            entry = (*path, index)
            self.lines.setdefault(entry, self.line)
            self._value(entry)
            index += 1
            self._blank()
            if self.text.startswith(",", self.at):
                self._move(self.at + 1)

    def _inline(self, path: Path) -> None:
        self._move(self.at + 1)
        while True:
            self._blank()
            if self.text.startswith("}", self.at):
                self._move(self.at + 1)
                return
            self._pair(path)
            self._blank()
            if self.text.startswith(",", self.at):
                self._move(self.at + 1)


def _unquote(text: str) -> str:
    if text.startswith("'"):
        return text.strip("'")
    # Quoted keys hold escapes only where somebody wrote them by hand; tomllib knows them all.
    import tomllib

    return str(tomllib.loads(f"k = {text}")["k"])
