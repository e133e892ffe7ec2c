"""`yardland demo`: a shipped demonstration holding, copied out and reckoned."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Annotated

import typer

from yardland.cli.guard import guarded

DEFAULT = "tarn-hollow"


def examples() -> Path:
    """The folder of demonstration holdings: inside the installed package, or in the repository beside src."""
    package = Path(__file__).resolve().parents[1]
    shipped = package / "examples"
    return shipped if shipped.is_dir() else package.parents[1] / "examples"


def names() -> list[str]:
    """The demonstration holdings, sorted."""
    return sorted(path.parent.name for path in examples().glob("*/holding.toml"))


@guarded
def demo(
    name: Annotated[str, typer.Argument(help="Which demonstration holding.")] = DEFAULT,
    to: Annotated[
        Path | None, typer.Option("--to", metavar="DIR", help="Folder to copy it to; ./NAME unless given.")
    ] = None,
    list_: Annotated[bool, typer.Option("--list", help="Only list the demonstration holdings.")] = False,
    as_json: Annotated[bool, typer.Option("--json", help="Print the year as one JSON object.")] = False,
) -> None:
    """Copy a demonstration holding out and reckon its year.

    A folder that is already there is used as it stands, with your changes in it.

    \b
    Example:
        $ yardland demo --list
        casa-vereda  Casa Vereda, latitude -34.2, CL
        tarn-hollow  Tarn Hollow, latitude 54.4, GB
    """  # noqa: D301 (the formatter of the help wants that very character)
    if list_:
        _list()
        return
    folder = to if to is not None else Path(name)
    copied = copy_demo(name, folder)
    if not as_json:
        typer.echo(
            f"{name} is {'copied to' if copied else 'already in'} {folder}; change its files and run: yardland year {folder}\n"
        )
    from yardland.cli.year import run_and_show

    run_and_show(folder, as_json=as_json)


def copy_demo(name: str, folder: Path) -> bool:
    """Copy a demonstration holding; False when `folder` already holds a plan, which is then left alone.

    Raises:
        InputFaults: no such demonstration, or the folder holds something else.
    """
    from yardland.errors import Fault, InputFaults

    if name not in names():
        raise InputFaults([Fault("demo", "NAME", name, f"one of {', '.join(names())}", "Choose one of those.")])
    if (folder / "holding.toml").is_file():
        return False
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise InputFaults(
            [
                Fault(
                    str(folder),
                    "--to",
                    "something else in that place",
                    "an empty or a new folder",
                    "Choose another folder with --to.",
                )
            ]
        )
    shutil.copytree(examples() / name, folder, dirs_exist_ok=True)
    return True


def _list() -> None:
    import tomllib

    for name in names():
        place = tomllib.loads((examples() / name / "holding.toml").read_text(encoding="utf-8"))["place"]
        typer.echo(f"{name:12} {place['name']}, latitude {place['latitude_deg']}, {place['country']}")
