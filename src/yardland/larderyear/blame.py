"""A year that cannot be reckoned with the user's own figures is the input's fault, and is told as such."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np

from yardland.errors import Fault, InputFaults, YardlandError
from yardland.reference import Override, Tables
from yardland.reference.tables import OWN_FILE

FAR = 3.0
"""Times the table's figure, or a part of it, from which an own figure is suspected first."""


@contextmanager
def strict_numbers(tables: Tables) -> Iterator[None]:
    """Within it no sum goes on with a number that is none: dividing by zero and the like stop the year.

    Args:
        tables: the reference tables; under own figures a failure is laid at their door, else it stays ours.

    Raises:
        InputFaults: own figures with which the year cannot be reckoned.
    """
    try:
        with np.errstate(divide="raise", over="raise", invalid="raise"):
            yield
    except InputFaults:
        raise
    except (ArithmeticError, LookupError, ValueError, YardlandError) as error:
        faults = own_faults(tables, error)
        if not faults:
            raise
        raise InputFaults(faults) from error


def own_faults(tables: Tables, error: Exception) -> list[Fault]:
    """A fault for each own figure that was read and lies far from the table's; for every one read if none lies far."""
    read = {key: override for key, override in tables.own.items() if key in tables.read_keys}
    far = {key: override for key, override in read.items() if is_far(tables, key, override)}
    return [own_fault(tables, key, override, error) for key, override in (far or read).items()]


def is_far(tables: Tables, key: str, override: Override) -> bool:
    """Whether an own figure is none of the table's size or sign."""
    usual = tables.figure(key).table_value
    if usual is None or usual == 0.0:
        return True
    return not 1.0 / FAR <= override.value / usual <= FAR


def own_fault(tables: Tables, key: str, override: Override, error: Exception) -> Fault:
    """The fault in one line of own.csv, with what the table says."""
    figure = tables.figure(key)
    usual = "nothing" if figure.table_value is None else f"{figure.table_value:g} {figure.unit}"
    why = "it makes a division by nothing" if isinstance(error, ArithmeticError) else f"{error}"
    return Fault(
        OWN_FILE,
        f"line {override.line}, column value",
        f"{key} = {override.value:g}, with which the year cannot be reckoned: {why}",
        f"a figure that can be; the table has {usual}",
        "Correct the figure, or take the line out.",
    )
