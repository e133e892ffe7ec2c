"""Floating-point operations of the growth kernel, counted in its source, and the machine's measured peak.

Counted are +, -, *, / and square roots, min and max as one each, in the loops over lanes of `kernel_ground` and
`kernel_crop`, helpers included; comparisons, selections, copies, watering, gates, flowering and dusk are not. How often a
loop applies (days a crop stands, makes dry matter, is past the flat part of its dilution curve) is counted on some lanes
of the plain twin.
"""

from __future__ import annotations

import ast
import inspect
import time
from collections import Counter

import numba as nb
import numpy as np
import numpy.typing as npt

from yardland.growth import heat, kernel_crop, kernel_ground, twin
from yardland.growth import traits as tr
from yardland.growth.io import KernelInput, empty_output
from yardland.growth.twin_crop import Day
from yardland.growth.twin_ground import SWARD, Ground

SOURCES = {
    node.name: node
    for module in (heat, kernel_ground, kernel_crop)
    for node in ast.parse(inspect.getsource(module)).body
    if isinstance(node, ast.FunctionDef)
}
ALSO = {"exp_of": "exp_small", "log_of": "log_small"}
BY_KIND = {
    "every day": ("wet_and_rot", "lose_water"),
    "standing": ("crop_morning",),
    "winter": ("winter_day",),
    "making": ("crop_make", "crop_feed"),
    "thinned": ("dilute",),
    "sward": ("sward_morning", "sward_evening", "sward_dusk"),
}
HORNER = 32
VALUES = 2048


def operations(name: str) -> int:
    """Floating operations for one lane in a function of the kernel: in its loop over lanes, or in all of a helper."""
    function = SOURCES[ALSO.get(name, name)]
    loops = [node for node in function.body if isinstance(node, ast.For)]
    return sum(_count(node) for node in (loops or function.body))


def _count(tree: ast.AST) -> int:
    count = 0
    for node in ast.walk(tree):
        if isinstance(node, ast.BinOp):
            count += isinstance(node.op, (ast.Add, ast.Sub, ast.Mult, ast.Div)) and not _is_index(node)
        elif isinstance(node, ast.AugAssign):
            count += isinstance(node.target, ast.Subscript)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            called = node.func.id
            if called in ("min", "max"):
                count += len(node.args) - 1
            elif called in SOURCES or called in ALSO:
                count += operations(called)
        elif isinstance(node, ast.Call) and ast.unparse(node.func) == "np.sqrt":
            count += 1
    return count


def _is_index(node: ast.BinOp) -> bool:
    """Whether a sum is the place of a lane in its row (`r.ROW + i`)."""
    return isinstance(node.right, ast.Name) and node.right.id == "i"


class CountingLane(twin.Lane):
    """A lane of the plain twin that counts the days of each kind over all its strips."""

    days: Counter[str]

    def _crop(self, strip: int, ground: Ground, day: Day) -> bool:
        self.days["standing"] += 1
        self.days["winter"] += self.given.traits[tr.RELEASE, ground.sowing] > 0.0
        return super()._crop(strip, ground, day)

    def _make(self, ground: Ground, crop: list[float], day: Day, caught: float, ks: float) -> float:
        if ground.phase == SWARD:
            self.days["sward"] += 1
        else:
            self.days["making"] += 1
            self.days["thinned"] += crop[tr.TONNES] * self.out.dm_g_m2[ground.sowing, self.lane] > 1.0
        return super()._make(ground, crop, day, caught, ks)


def operations_per_day_step(given: KernelInput) -> float:
    """Mean over the strips, days and lanes of a case."""
    out, days = empty_output(given), Counter({"every day": given.day_steps})
    for number in range(given.lanes):
        lane = CountingLane(given, out, number)
        lane.days = days
        lane.run()
    total = sum(days[kind] * operations(name) for kind, names in BY_KIND.items() for name in names)
    return total / given.day_steps


@nb.njit(fastmath={"contract"}, error_model="numpy")
def _horner(values: npt.NDArray[np.float64], repeats: int) -> None:
    for _ in range(repeats):
        for i in range(VALUES):
            value = values[i]
            for _ in range(HORNER):
                value = value * 0.5 + 1.0
            values[i] = value


def peak_gflops(repeats: int = 20_000) -> float:
    """Multiply-adds a nanosecond of one thread, as two operations each: a chain of them over values in the first cache."""
    values = np.ones(VALUES)
    _horner(values, 1)
    best = float("inf")
    for _ in range(5):
        start = time.thread_time()
        _horner(values, repeats // 5)
        best = min(best, time.thread_time() - start)
    return 2.0 * HORNER * VALUES * (repeats // 5) / best / 1e9
