"""Rows as a file that spreadsheets and data tools read: .csv or .parquet, by its ending."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from yardland.errors import Fault, InputFaults
from yardland.holding.write import write_bytes

CSV, PARQUET = ".csv", ".parquet"
EXTRA = "Install it (pip install 'yardland[tables]'), or write a .csv."


def check_rows_file(path: Path) -> None:
    """Refuse a file that cannot be written, before any work is done.

    Raises:
        InputFaults: another ending, no such folder, a folder of that name, or no library for the ending.
    """
    where = "the file of the table"
    if path.suffix.lower() not in {CSV, PARQUET}:
        found = f"the ending {path.suffix!r}" if path.suffix else "no ending"
        raise InputFaults([Fault(str(path), where, found, f"{CSV} or {PARQUET}", "Give it one of these endings.")])
    if not path.parent.is_dir():
        found = f"no folder {path.parent}"
        raise InputFaults([Fault(str(path), where, found, "a folder that is there", "Make the folder first.")])
    if path.is_dir():
        raise InputFaults([Fault(str(path), where, "a folder", "a file, or nothing yet", "Give it another name.")])
    if path.suffix.lower() == PARQUET:
        try:
            import pyarrow as pa  # noqa: F401 (only whether it is there)
        except ImportError:
            fault = Fault(str(path), where, "no library pyarrow", f"it, for {PARQUET}", EXTRA)
            raise InputFaults([fault]) from None


def write_rows(
    path: Path, rows: Sequence[Mapping[str, Any]], columns: Mapping[str, type], attrs: Mapping[str, str]
) -> None:
    """Write rows in one step as seen by any reader.

    Args:
        path: ends with .csv or .parquet.
        rows: each with every column; None is an empty cell.
        columns: name -> str, int, float or bool, in order.
        attrs: what a .parquet says of itself, as its schema and version.

    Raises:
        OSError: the file cannot be written.
    """
    write_bytes(path, as_csv(rows, columns) if path.suffix.lower() == CSV else as_parquet(rows, columns, attrs))


def as_csv(rows: Sequence[Mapping[str, Any]], columns: Mapping[str, type]) -> bytes:
    """Comma-separated, a heading, UTF-8; empty cells for None, true and false in small letters."""
    held = io.StringIO(newline="")
    writer = csv.writer(held, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow(
            [str(cell).lower() if isinstance(cell, bool) else cell for cell in (row[key] for key in columns)]
        )
    return held.getvalue().encode("utf-8")


def as_parquet(rows: Sequence[Mapping[str, Any]], columns: Mapping[str, type], attrs: Mapping[str, str]) -> bytes:
    """Parquet with a type for every column, whether or not a row fills it."""
    import pyarrow as pa
    from pyarrow import parquet

    kinds = {str: pa.string(), int: pa.int64(), float: pa.float64(), bool: pa.bool_()}
    schema = pa.schema([(name, kinds[kind]) for name, kind in columns.items()], metadata=dict(attrs))
    arrays = [
        pa.array([None if row[name] is None else kind(row[name]) for row in rows], type=kinds[kind])
        for name, kind in columns.items()
    ]
    held = io.BytesIO()
    parquet.write_table(pa.Table.from_arrays(arrays, schema=schema), held)
    return held.getvalue()
