"""A holding folder into a `Holding`: form first, then sense; every fault of every file at once."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

from yardland.errors import Fault, InputFaults
from yardland.holding.draft import Draft
from yardland.holding.folder import OUTLINES, PLAN, WEATHER, Unreadable, file_fault, read_text, stray_files
from yardland.holding.geojson import parse_outlines
from yardland.holding.known import KnownNames
from yardland.holding.model import Holding, Place
from yardland.holding.plan import NAMED, SINGLE, fill_draft, parse_toml
from yardland.holding.sense import sense_faults
from yardland.holding.sheets import SHEET_KINDS, parse_sheet

MOST_FAULTS_A_FILE = 200


def read_holding(path: str | Path, known: KnownNames | None = None, *, today: date | None = None) -> Holding:
    """The plan in a holding folder.

    Args:
        path: the folder.
        known: names of the handbook tables; without them names of crops, stock and goods are not checked.
        today: the day on which nobody is born in the future; the real one by default.

    Raises:
        InputFaults: anything wrong in any of its files, all at once. Weather files are only looked at from outside:
            their content is the weather room's.
    """
    folder = Path(path)
    draft, faults = _read(folder, known or KnownNames(), today or datetime.now().astimezone().date())
    if faults or draft.place is None:
        raise InputFaults(faults)
    return _holding(folder, draft)


def check_holding(path: str | Path, known: KnownNames | None = None, *, today: date | None = None) -> list[Fault]:
    """Everything that is wrong in a holding folder; an empty list when `read_holding` would succeed."""
    try:
        read_holding(path, known, today=today)
    except InputFaults as error:
        return list(error.faults)
    return []


def read_place(path: str | Path) -> Place | None:
    """The place of a holding whatever else is wrong with it, so that its weather can be checked beside its plan.

    None when the folder, its holding.toml or the place itself cannot be read.
    """
    draft = Draft()
    folder = Path(path)
    if _folder_fault(folder) is None:
        _read_plan(draft, folder)
    return draft.place


def _read(folder: Path, known: KnownNames, today: date) -> tuple[Draft, list[Fault]]:
    """The draft of a plan, and the faults of both gates."""
    draft = Draft()
    fault = _folder_fault(folder)
    if fault is not None:
        return draft, [fault]
    faults = _read_outlines(draft, folder) + _read_plan(draft, folder) + _read_sheets(draft, folder)
    faults += [found for name in WEATHER if (found := _weather_fault(folder, name)) is not None]
    faults += stray_files(folder)
    return draft, _capped(faults + sense_faults(draft, known, today))


def _folder_fault(folder: Path) -> Fault | None:
    """What is wrong with the folder itself."""
    if not folder.is_dir():
        found = "a file" if folder.exists() else "nothing"
        return Fault(str(folder), "the folder", found, "a holding folder", "Give the folder that holds holding.toml.")
    if not (folder / PLAN).exists() and not (folder / PLAN).is_symlink():
        remedy = "Write one with `yardland new`, or give the folder that holds it."
        return Fault(PLAN, "the file", "nothing", f"a file {PLAN} in {folder.name or folder}", remedy)
    return None


def _text(folder: Path, name: str, faults: list[Fault]) -> str | None:
    """The text of a file, or None with its fault noted."""
    try:
        return read_text(folder, name)
    except Unreadable as unreadable:
        faults.append(unreadable.fault)
        return None


def _read_plan(draft: Draft, folder: Path) -> list[Fault]:
    """holding.toml."""
    faults: list[Fault] = []
    text = _text(folder, PLAN, faults)
    if text is None:
        return faults
    table, faults = parse_toml(text)
    if faults:
        return faults
    draft.plan_read = True
    return fill_draft(draft, table)


def _read_outlines(draft: Draft, folder: Path) -> list[Fault]:
    """land.geojson, before the plan: plots take their area from it."""
    faults: list[Fault] = []
    text = _text(folder, OUTLINES, faults)
    if text is not None:
        draft.outlines, draft.declared["outline"], faults = parse_outlines(text)
    draft.outlines_read = bool(draft.names("outline")) or not faults
    return faults


def _read_sheets(draft: Draft, folder: Path) -> list[Fault]:
    """The sheets that the folder has."""
    faults: list[Fault] = []
    for sheet in SHEET_KINDS:
        text = _text(folder, sheet.file, faults)
        if text is not None:
            rows, unsound, found = parse_sheet(sheet, text)
            faults += found
            setattr(draft, sheet.draft_key, rows)
            if sheet.draft_key == "plantings":
                draft.unsound_plantings = {(str(raw.get("plot")), str(raw.get("crop"))) for raw in unsound}
    return faults


def _weather_fault(folder: Path, name: str) -> Fault | None:
    """What is wrong with a weather file from outside."""
    path = folder / name
    return file_fault(folder, name) if path.exists() or path.is_symlink() else None


def _capped(faults: list[Fault]) -> list[Fault]:
    """The faults without repetitions, at most so many of each file; one more line then counts the rest."""
    kept: list[Fault] = []
    count: dict[str, int] = {}
    for fault in dict.fromkeys(faults):
        count[fault.file] = count.get(fault.file, 0) + 1
        if count[fault.file] <= MOST_FAULTS_A_FILE:
            kept.append(fault)
    for file, total in count.items():
        if total > MOST_FAULTS_A_FILE:
            found = f"{total - MOST_FAULTS_A_FILE} faults more"
            kept.append(Fault(file, "further on", found, "none", "Put the first ones right, then check again."))
    return kept


def _holding(folder: Path, draft: Draft) -> Holding:
    """The immutable plan from a draft without faults."""
    parts = (*SINGLE, "water", *NAMED)
    rows = ("plantings", "trades", "own", "stores_today", "calendar")
    return Holding(
        folder=folder,
        **{name: getattr(draft, name) for name in parts},
        **{name: tuple(getattr(draft, name)) for name in rows},
        outlines={outline.id: outline.geometry for outline in draft.outlines.values()},
    )
