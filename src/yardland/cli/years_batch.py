"""`yardland years DIR DIR ...`: many holdings one after the other, a row for each; one that fails stops no other."""

from __future__ import annotations

import time
from collections.abc import Sequence
from pathlib import Path

import typer

from yardland.cli.guard import AT_FAULT, OUR_FAULT, STOPPED, print_faults, report_line
from yardland.cli.output import print_json
from yardland.cli.years_run import Runner
from yardland.errors import Fault, InputFaults
from yardland.larderyears.asked import MOST_COUNT, Asked
from yardland.larderyears.jsonable import years_json
from yardland.larderyears.places import PlaceGone
from yardland.larderyears.row import COLUMNS, SCHEMA, Cell, fault_row, years_row
from yardland.larderyears.terms import terms_of
from yardland.report.rows_file import check_rows_file, write_rows
from yardland.version import __version__

HERE = "the command line"
NOT_RUN = "not run: the cluster was gone"
PCT = 100.0
FEWEST_COUNT = 2
"""One year is no sample."""
Row = dict[str, Cell]


def check_question(
    folders: Sequence[Path], asked: Asked, against: Path | None, table: Path | None, jobs: int | None
) -> None:
    """Refuse what cannot be asked together.

    Raises:
        InputFaults: with everything that is wrong.
    """
    faults: list[Fault] = []
    count, chain = asked.count, asked.chain_years
    if not FEWEST_COUNT <= count <= MOST_COUNT:
        span = f"{FEWEST_COUNT} to {MOST_COUNT:,}"
        remedy = f"Ask for {'more' if count < FEWEST_COUNT else 'fewer'}; some hundred tell most of what can be told."
        faults.append(Fault(HERE, "--count", f"{count:,} year{'' if count == 1 else 's'}", span, remedy))
    seen: dict[Path, Path] = {}
    for folder in folders:
        first = seen.setdefault(folder.resolve(), folder)
        if first is not folder:
            faults.append(Fault(HERE, "DIR", f"{folder} twice", "each folder once", "Leave one of them out."))
    if against is not None and len(folders) > 1:
        words = f"{len(folders)} holdings and --against"
        faults.append(Fault(HERE, "--against", words, "one holding to compare", "Compare them one at a time."))
    elif against is not None and count <= chain:
        words = f"{count:,} years in one chain of {chain}"
        remedy = "Ask for more years, or for shorter chains with --chain."
        faults.append(Fault(HERE, "--against", words, "two chains or more to compare", remedy))
    if asked.scheduler and jobs is not None:
        words = "both --jobs and --scheduler"
        faults.append(Fault(HERE, "--scheduler", words, "one of them", "Leave --jobs out: the cluster has its own."))
    try:
        if table is not None:
            check_rows_file(table)
    except InputFaults as error:
        faults += error.faults
    if faults:
        raise InputFaults(faults)


def write_table(table: Path, rows: Sequence[Row]) -> None:
    """Write the rows, with what they are."""
    write_rows(table, rows, COLUMNS, {"schema": SCHEMA, "version": __version__})


def batch(runner: Runner, folders: Sequence[Path], table: Path | None, *, as_json: bool) -> int:
    """Run every holding, tell each in a line or a row, and write the table after each; the exit code."""
    rows: list[Row] = []
    code = 0
    for number, folder in enumerate(folders):
        row, failed = row_of(runner, folder, f" of {folder.name} ({number + 1} of {len(folders)} holdings)")
        rows.append(row)
        code = max(code, failed)
        if runner.gone:
            rows += [fault_row(str(one), NOT_RUN) for one in folders[number + 1 :]]
        if table is not None:
            write_table(table, rows)
        if not as_json:
            typer.echo(line_of(row))
        if len(rows) == len(folders) or failed == STOPPED:
            break
    if as_json:
        print_json({"schema": SCHEMA, "version": __version__, "holdings": rows})
    return code


def row_of(runner: Runner, folder: Path, of: str) -> tuple[Row, int]:
    """The row of a holding, and the exit code that it asks for."""
    begun = time.monotonic()
    try:
        answer = runner.answer(folder, of=of)
    except PlaceGone as error:
        print_faults(error.faults)
        runner.reopen()
        return fault_row(str(folder), str(error)), AT_FAULT
    except InputFaults as error:
        print_faults(error.faults)
        return fault_row(str(folder), "; ".join(str(fault) for fault in error.faults)), AT_FAULT
    except KeyboardInterrupt:
        return fault_row(str(folder), "stopped by hand"), STOPPED
    except Exception as error:  # noqa: BLE001 (one holding that fails stops no other)
        typer.echo(f"{folder}: {report_line(error)}", err=True)
        return fault_row(str(folder), report_line(error)), OUR_FAULT
    told = years_json(answer.odds, terms_of(answer.odds), answer.plain, answer.against, time.monotonic() - begun)
    return years_row(str(folder), told), STOPPED if answer.by_hand else 0


def line_of(row: Row) -> str:
    """A holding in a line."""
    if row["fault"]:
        return f"{row['folder']}: {str(row['fault']).partition(chr(10))[0][:120]}"
    low, high = row["reliability_interval_low"], row["reliability_interval_high"]
    share, least, most = (PCT * float(part or 0.0) for part in (row["reliability"], low, high))
    return f"{row['folder']}: {share:.0f} % of {row['count']} years without a short month ({least:.0f} to {most:.0f} %)"
