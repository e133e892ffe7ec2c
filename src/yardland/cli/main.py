"""The command line: `yardland demo | new | check | weather | crop | herd | year | years | why`. Thin doors; every heavy import waits inside a command.

Exit codes: 0 done; 1 done, but `--strict` met a danger, rule or short finding; 2 the input is at fault; 3 yardland failed.
"""

from __future__ import annotations

from typing import Annotated

import typer

from yardland.cli.check import check
from yardland.cli.crop import crop
from yardland.cli.demo import demo
from yardland.cli.herd import herd
from yardland.cli.new import new
from yardland.cli.weather import weather
from yardland.cli.why import why
from yardland.cli.year import year
from yardland.cli.years import years

app = typer.Typer(
    name="yardland",
    help="Will this piece of ground feed this household, month by month, all year?",
    epilog="Start with: yardland demo   or   yardland new my-holding",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    no_args_is_help=True,
)
for command in (demo, new, check, weather, crop, herd, year, years, why):
    app.command()(command)


@app.callback(invoke_without_command=True)
def _root(version: Annotated[bool, typer.Option("--version", help="Print the version and stop.")] = False) -> None:
    if version:
        from yardland.version import __version__

        typer.echo(f"yardland {__version__}")
        raise typer.Exit


def main() -> None:
    """Run the command line."""
    app()
