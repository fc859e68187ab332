# ruff: noqa: E501 - patterns, word lists and whole sentences stand on one line
"""The child process that opens untrusted formats, with bounded memory, time and no network.

It gets a kind and a path, and writes one JSON object: the book's cells, or why it is refused.
Nothing of the project is known here.
"""

from __future__ import annotations

import gc
import json
import sys
from dataclasses import asdict
from pathlib import Path
from typing import Any

from rfq.intake.kinds import Limits


def _bound(limits: Limits) -> None:
    """Set the bounds of this process; where the system has none, only the clock is left."""
    # openpyxl loads numpy where it finds it, which costs memory and a tenth of a second
    for heavy in ("numpy", "pandas", "lxml"):
        sys.modules.setdefault(heavy, None)  # type: ignore[arg-type]
    try:
        import resource
    except ImportError:
        return
    seconds = max(2, int(limits.seconds) + 1)
    for what, bound in (
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_DATA, limits.memory_bytes),
        (resource.RLIMIT_FSIZE, 0),
        (resource.RLIMIT_CORE, 0),
    ):
        hard = resource.getrlimit(what)[1]
        if hard != resource.RLIM_INFINITY:
            bound = min(bound, hard)
        resource.setrlimit(what, (bound, hard))


def _no_network() -> None:
    def refuse(event: str, _: Any) -> None:
        if event.startswith(("socket.", "subprocess.", "os.exec", "os.system", "os.posix_spawn")):
            raise PermissionError(f"{event} is not allowed here")

    sys.addaudithook(refuse)


def main() -> None:
    """Read sys.argv: kind, path, limits as JSON; write the result to stdout."""
    kind, name, bounds = sys.argv[1:4]
    limits = Limits(**json.loads(bounds))
    _bound(limits)
    gc.disable()  # the process ends with the file; memory is bounded
    _no_network()
    out: dict[str, Any]
    try:
        out = _read(kind, Path(name), limits)
    except MemoryError:
        out = {"too_much": "memory"}
    except RecursionError:
        out = {"refused": ["R003", "it is nested too deeply"]}
    except Exception as error:
        refused = getattr(error, "sentence", None)
        if refused:
            out = {"refused": [getattr(error, "code", "R003"), refused]}
        elif type(error).__name__ in (
            "EntitiesForbidden",
            "DTDForbidden",
            "ExternalReferenceForbidden",
        ):
            out = {"refused": ["R006", "it declares XML entities or a DTD"]}
        else:
            out = {"refused": ["R003", f"it is damaged ({type(error).__name__})"]}
    sys.stdout.buffer.write(json.dumps(out, ensure_ascii=True).encode("ascii"))


def _read(kind: str, path: Path, limits: Limits) -> dict[str, Any]:
    if kind == "letter":
        from rfq.intake.letter_words import read_letter_words

        return read_letter_words(path, limits)
    if kind == "xml":
        from rfq.intake.ubl_tree import read_xml

        return read_xml(path)
    if kind == "html":
        from rfq.intake.html_file import read_html

        book = read_html(path, limits)
    else:
        from rfq.intake import workbooks

        readers = {
            "xlsx": workbooks.read_xlsx,
            "xls": workbooks.read_xls,
            "ods": workbooks.read_ods,
            "xlsb": workbooks.read_calamine,
        }
        try:
            book = readers[kind](path, limits)
        except (workbooks.Refused, MemoryError):
            raise
        except Exception:
            # Where the XML itself is broken, a reader that forgives would move cells about.
            if kind not in ("xlsx", "xls") or _entities(kind, path) or _torn():
                raise
            book = workbooks.read_calamine(path, limits)
            book.notes.append(
                ("R009", "the workbook is not quite in order: number formats, comments and what is hidden could not be read")
            )  # fmt: skip
    return {
        "kind": book.kind,
        "notes": book.notes,
        "properties": book.properties,
        "text": book.text,
        "grids": [
            {
                "name": grid.name,
                "hidden": grid.hidden,
                "merges": grid.merges,
                "hidden_rows": sorted(grid.hidden_rows),
                "hidden_columns": sorted(grid.hidden_columns),
                "cells": [
                    (cell.row, cell.column, cell.kind, cell.text, cell.format, cell.comment)
                    for row in grid.rows.values()
                    for cell in row.values()
                ],
            }
            for grid in book.grids
        ],
    }


def _entities(kind: str, path: Path) -> bool:
    """Whether the failure came from forbidden XML; then no other reader may try."""
    error = sys.exc_info()[1]
    return type(error).__module__.startswith("defusedxml")


def _torn() -> bool:
    """Whether the failure is XML that is not well-formed."""
    return type(sys.exc_info()[1]).__name__ in ("ParseError", "XMLSyntaxError")


def bounds_of(limits: Limits) -> str:
    """Return the limits as the child's third argument."""
    return json.dumps(asdict(limits))
