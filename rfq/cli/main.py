"""The command tree. Imports nothing heavy: each command's module is loaded when it is run."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from importlib import import_module

import click

from rfq import __version__

# Command -> (module, one line of help). The help stands here so that `rfq --help` loads no module.
COMMANDS: dict[str, tuple[str, str]] = {
    "open": ("rfq.cli.app", "open the app on a project"),
    "demo": ("rfq.cli.demo", "copy the demo project, run the whole job on it, then open the app"),
    "new": ("rfq.cli.new", "make an empty project"),
    "parts": ("rfq.cli.parts", "take parts in from a list, or drawings and models from a folder"),
    "check": (
        "rfq.cli.check",
        "find what is unclear, contradictory or dear for no reason",
    ),
    "package": ("rfq.cli.package", "make one request package for each shop"),
    "import": ("rfq.cli.take", "read a reply"),
    "cost": ("rfq.cli.cost", "what each part should cost, as a band with its elements"),
    "routes": ("rfq.cli.routes", "ways to make a part, and where they cross"),
    "savings": ("rfq.cli.savings", "what a change to the request would save"),
    "compare": ("rfq.cli.compare", "comparable prices, odd prices and the reason"),
    "rounds": ("rfq.cli.rounds", "rounds, questions and answers, targets and letters"),
    "award": ("rfq.cli.award", "proposals; choose one and write the letters"),
    "order": ("rfq.cli.order", "acknowledgement against order, deliveries, invoice"),
    "first-article": ("rfq.cli.first_article", "measured values against the callouts"),
    "export": ("rfq.cli.export", "the comparison as csv, xlsx, parquet, json or pdf"),
    "history": ("rfq.cli.history", "what past quotes say about the should-cost and the shops"),
    "undo": ("rfq.cli.undo", "take back the last change"),
    "measure": ("rfq.cli.measure", "measure a STEP model and take its figures into a part"),
    "join": ("rfq.cli.join", "let git join two people's records fact by fact in this clone"),
    "schema": ("rfq.cli.schema", "the JSON Schema of a record, for editors"),
}


class Commands(click.Group):
    """Loads a command when it is asked for; a path in place of a command opens the app on it."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands in the order of the job."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command, loading its module."""
        if cmd_name not in COMMANDS:
            return None
        command = import_module(COMMANDS[cmd_name][0]).command
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write the list of commands without loading them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, words) for name, (_, words) in COMMANDS.items()])

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Take `rfq` and `rfq FOLDER` for `rfq open [FOLDER]`."""
        if not args:
            args = ["open"]
        elif not args[0].startswith("-") and args[0] not in COMMANDS:
            from pathlib import Path

            if Path(args[0]).is_dir():
                args = ["open", *args]
        return super().parse_args(ctx, args)


@click.group(
    cls=Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="rfq")
def rfq() -> None:
    """Ask shops for prices on custom parts, and know what comes back.

    Without a command, or with a project folder, the app opens.
    """


def main(argv: Sequence[str] | None = None) -> None:
    """Run the command line and leave with its exit code.

    Exit codes: 0 done, 1 problems in the data, 2 usage, 3 outside trouble, 130 interrupted.
    """
    import gc

    # ``say`` is loaded where something is to be said: `rfq --help` does without.
    # Frozen values hardly ever form circles. Looking for them after every 700 new objects took
    # more than half the time of a comparison of 10,000 prices; after every 100,000 it takes little.
    gc.set_threshold(100_000, 50, 100)
    try:
        code = rfq.main(args=list(argv) if argv is not None else None, standalone_mode=False)
    except (click.exceptions.Abort, KeyboardInterrupt):
        from rfq.cli import say

        say.words("interrupted")
        sys.exit(say.INTERRUPTED)
    except click.UsageError as error:
        from rfq.cli import say

        say.words(f"{error.format_message()}  (rfq --help lists the commands)")
        sys.exit(say.USAGE)
    except click.ClickException as error:
        from rfq.cli import say

        say.words(error.format_message())
        sys.exit(say.USAGE)
    except click.exceptions.Exit as stop:
        sys.exit(stop.exit_code)
    except BrokenPipeError:
        # The reader of our output went away (`| head`): nothing to say, nothing lost.
        sys.stderr.close()
        sys.exit(0)
    except Exception as error:
        from rfq.cli import say

        sys.exit(say.trouble(error))
    sys.exit(code if isinstance(code, int) else 0)
