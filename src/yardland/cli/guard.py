"""What a user sees when something goes wrong: every fault as a list, one line for a failure of ours, never a traceback."""

from __future__ import annotations

import functools
import os
import sys
import textwrap
from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ParamSpec, TypeVar

import typer

if TYPE_CHECKING:
    from yardland.errors import Fault

P = ParamSpec("P")
R = TypeVar("R")
AT_FAULT, OUR_FAULT, STOPPED = 2, 3, 130
DEBUG = "YARDLAND_DEBUG"


def guarded(command: Callable[P, R]) -> Callable[P, R]:
    """A command whose failures end in words and an exit code."""

    @functools.wraps(command)
    def wrapper(*args: P.args, **kwargs: P.kwargs) -> R:
        from yardland.errors import InputFaults

        try:
            return command(*args, **kwargs)
        except InputFaults as error:
            print_faults(error.faults)
            raise typer.Exit(AT_FAULT) from None
        except (typer.Exit, typer.Abort, typer.BadParameter):
            raise
        except KeyboardInterrupt:
            typer.echo("Stopped. Files written so far are whole.", err=True)
            raise typer.Exit(STOPPED) from None
        except BrokenPipeError:
            _quiet_stdout()
            raise typer.Exit(0) from None
        except OSError as error:
            print_faults([_file_fault(error)])
            raise typer.Exit(AT_FAULT) from None
        except Exception as error:
            if os.environ.get(DEBUG):
                raise
            typer.echo(report_line(error), err=True)
            raise typer.Exit(OUR_FAULT) from None

    return wrapper


def print_faults(faults: Iterable[Fault]) -> None:
    """Every fault on standard error, by file, each with what was found, what was expected and the remedy."""
    faults = tuple(faults)
    typer.echo(f"{len(faults)} {'fault' if len(faults) == 1 else 'faults'} found:", err=True)
    last = None
    for fault in faults:
        if fault.file != last:
            typer.echo(f"\n{fault.file}", err=True)
            last = fault.file
        typer.echo(f"  {fault.where}", err=True)
        for words in (f"found {fault.found}; expected {fault.expected}.", fault.remedy):
            typer.echo(
                textwrap.fill(words, 78, initial_indent="      ", subsequent_indent="      ", break_long_words=False),
                err=True,
            )


def _file_fault(error: OSError) -> Fault:
    """A file or folder that the system would not let be read or written."""
    from yardland.errors import Fault

    name = str(error.filename or "what is written to (standard output or a file)")
    reason = error.strerror or type(error).__name__
    return Fault(
        name, "the file or folder", reason, "one that may be read and written", "Correct its place or its permissions."
    )


def report_line(error: Exception) -> str:
    """A failure of ours in one line."""
    words = " ".join(str(error).split()) or "no message"
    return f"yardland failed: {type(error).__name__}: {words[:300]} (a fault of the program; please report this line. {DEBUG}=1 shows where.)"


def _quiet_stdout() -> None:
    """Point standard output at nothing, so that Python's own flush at exit finds no broken pipe."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
