"""Where the files that come with the program lie: in the wheel, or beside a checkout."""

from __future__ import annotations

from pathlib import Path


def shipped(name: str) -> Path:
    """Return the folder ``templates`` or ``demo_project`` as shipped.

    Args:
        name: 'templates' or 'demo_project'.
    Raises:
        FileNotFoundError: the installation is incomplete.
    """
    here = Path(__file__).parent
    for folder in (here.parent / name, here / "_shipped" / name):
        # A checkout wins over the copy an editable install leaves in site-packages.
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"the installation lacks its folder {name}/")
