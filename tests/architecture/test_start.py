"""Start-up stays light, and public names resolve."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = (
    "textual", "rich", "pandas", "numpy", "reportlab", "openpyxl", "pydantic", "scipy", "pyarrow",
    "pypdf", "lxml", "rapidfuzz", "OCP",
)  # fmt: skip

_HELP = "from rfq.cli.main import main\ntry:\n    main(['{}'])\nexcept SystemExit:\n    pass"


def _loaded(code: str) -> set[str]:
    script = f"import sys\n{code}\nprint(' '.join(sorted(sys.modules)))"
    out = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    ).stdout
    return set(out.splitlines()[-1].split())


@pytest.mark.parametrize(
    "code",
    [
        "import rfq",
        "import rfq.cli.main",
        _HELP.format("--help"),
        _HELP.format("compare', '--help"),
        _HELP.format("open', '--help"),
    ],
)
def test_help_loads_nothing_heavy(code: str) -> None:
    assert not _loaded(code) & set(HEAVY)


def test_every_command_loads_and_has_help() -> None:
    import click

    from rfq.cli.main import COMMANDS, rfq

    ctx = click.Context(rfq)
    for name in COMMANDS:
        command = rfq.get_command(ctx, name)
        assert command is not None and command.help, name


def test_public_names_resolve() -> None:
    import rfq

    for name in rfq.__all__:
        assert getattr(rfq, name) is not None
    with pytest.raises(AttributeError):
        rfq.no_such_name  # noqa: B018
