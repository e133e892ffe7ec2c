"""Writing into a holding folder so that no file is ever half-written: beside, to the disk, then in place of the old."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

NEW_FILE_MODE = 0o644


def write_text(path: Path, text: str) -> None:
    """Write `text` as UTF-8 to `path`, as `write_bytes`. Lines end with a line feed on every system."""
    write_bytes(path, text.encode("utf-8"))


def write_bytes(path: Path, data: bytes) -> None:
    """Write `data` to `path`, in one step as seen by any reader.

    It goes to a new file in the same folder, is forced to the disk, and takes the place of the old file by a
    rename (atomic by POSIX rename()); then the folder's entry is forced to the disk. If anything fails on the way the
    old file stays as it was.

    Raises:
        OSError: the folder cannot be written to (its name is told, not that of the new file), or the disk is full.
    """
    mode = path.stat().st_mode & 0o7777 if path.exists() else NEW_FILE_MODE
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    except OSError as error:
        error.filename = str(path.parent)
        raise
    beside = Path(name)
    try:
        _write_through(handle, data)
        beside.chmod(mode)
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def _write_through(handle: int, data: bytes) -> None:
    """Write all of `data` to an open file, force it to the disk and close it."""
    with os.fdopen(handle, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _sync_folder(folder: Path) -> None:
    """Force a folder's entries to the disk, where the system lets a folder be opened."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
