"""What the rows of a reserve count of given shelves, for tests."""

from __future__ import annotations

from yardland.larder.model import LinearModel, highs, run
from yardland.larderyears.frame import Frame


def reserve_counts(frame: Frame, row: int, there: dict[int, float]) -> float:
    """The most that a month's row of the reserve counts of what lies there, as a share of the reserve.

    Args:
        frame: the block.
        row: "reserve.<month>".
        there: column -> its amount; all other shelves are empty.
    """
    month = frame.row_names[row].removeprefix("reserve.")
    rows = [at for at, name in enumerate(frame.row_names) if name.startswith("beyond.") and name.endswith(f".{month}")]
    entries = [
        (at, column, value)
        for at, column, value in zip(
            frame.matrix.row.tolist(), frame.matrix.column.tolist(), frame.matrix.value.tolist(), strict=True
        )
        if at in {row, *rows}
    ]
    shelves = set(frame.shelved.column.tolist())
    lacking = set(frame.reserve.lacking.tolist())
    model, place = LinearModel(), {}
    for column in sorted({column for _, column, _ in entries} - lacking):
        amount = there.get(column, 0.0)
        place[column] = model.column(0.0, amount, amount) if column in shelves else model.column()
    counted = model.column(-1.0)
    model.put(model.row("counted", lower=0.0), counted, -1.0)
    for at in rows:
        model.row(frame.row_names[at], upper=float(frame.row_upper[at]))
    for at, column, value in entries:
        if column in place:
            model.put(0 if at == row else 1 + rows.index(at), place[column], value)
    return -run(highs(model, method="simplex"), model).objective
