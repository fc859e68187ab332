"""The files of an empty project."""

from __future__ import annotations

from pathlib import Path

from rfq.model.project import Settings
from rfq.model.rates import Rates
from rfq.problems import NoProject
from rfq.store.files import INNER, unwritable
from rfq.store.save import changes
from rfq.store.write import render

_PROJECT = """\
# What holds for the whole project. Text stands in quotes, numbers have a decimal point.
# Also known here: company, country, address, contact, logo, default_request, internal_note.

"""
_RATES = """\
# Your own rates: money, freight, duty, machine hours; give each its date and source.
# What is absent is taken from the shipped parameters or asked, never taken as zero. Examples:
#   exchange = [
#     { currency = "USD", per_eur = 1.0800, on = 2026-07-01, source = "our bank" },
#   ]
#   freight = [
#     { country = "PL", per_shipment = 65.00, per_kg = 0.80, days = 3, source = "carrier's list" },
#   ]

"""
_IGNORE = f"# Lock, log and undo of this machine.\n{INNER}/\n"
_ATTRIBUTES = """\
# Replies and what was sent stay as they are, byte for byte; journals of clones are joined.
requests/**/replies/** -text
requests/**/sent/** -text
journal/*.jsonl -text merge=union
# Records are joined fact by fact in clones where rfq is named as the merge driver.
*.toml merge=rfq
"""


def empty_project(name: str, *, currency: str = "EUR", country: str = "DE") -> dict[str, bytes]:
    """Return relative path -> bytes of a project without parts, shops and requests.

    Args:
        name: shown as the project's name.
        currency: three capital letters; what prices are compared in.
        country: two capital letters; where the parts are delivered.
    Raises:
        pydantic.ValidationError: the name, currency or country is none.
    """
    settings = Settings(name=name, currency=currency, country=country)
    return {
        "project.toml": (_PROJECT + render(settings)).encode(),
        "rates.toml": (_RATES + render(Rates())).encode(),
        ".gitignore": _IGNORE.encode(),
        ".gitattributes": _ATTRIBUTES.encode(),
    }


def create_project(
    folder: Path, name: str, *, currency: str = "EUR", country: str = "DE"
) -> tuple[Path, ...]:
    """Make an empty project in a folder that holds none yet; return the files written.

    Raises:
        NoProject: there is a project already.
        Unwritable: the folder cannot be written.
    """
    if (folder / "project.toml").exists():
        raise NoProject(f"{folder} is a project already; nothing was changed.")
    files = empty_project(name, currency=currency, country=country)
    make_folder(folder)
    with changes(folder, "project made", about="project", fresh=True) as change:
        for path, data in files.items():
            if not (folder / path).exists():
                change.keep(path, data)
    return change.written


def make_folder(folder: Path) -> None:
    """Make a folder with its parents.

    Raises:
        Unwritable: the system refuses.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise unwritable(folder, error) from error
