"""Write src/yardland/reference/data/anchors.csv: run after any change to the kernel, the crop tables or the climates."""

from __future__ import annotations

import csv
from pathlib import Path

from yardland.datebook.anchors import make_anchors, make_sward_anchors
from yardland.reference import load_tables

DATA = Path(__file__).parents[1] / "src" / "yardland" / "reference" / "data" / "anchors.csv"
HEADER = ("key", "climate", "days", "dm_g_m2", "light_mj_m2", "warm_share", "anchor", "src", "st")


def main() -> None:
    """Compute every anchor and write the table."""
    tables = load_tables()
    anchors = make_anchors(tables) + make_sward_anchors(tables)
    with DATA.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(HEADER)
        for a in anchors:
            figures = (a.days, f"{a.dm_g_m2:.2f}", f"{a.light_mj_m2:.2f}", f"{a.warm_share:.5f}", f"{a.anchor:.4f}")
            writer.writerow((a.crop, a.climate, *figures, "anchor_script", "from memory"))
    print(f"{len(anchors)} anchors written to {DATA.name}")


if __name__ == "__main__":
    main()
