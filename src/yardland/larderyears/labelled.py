"""Many years as labelled arrays and as a table, for notebooks and other programs; units stand in `attrs` or in names."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from yardland.holding.write import write_bytes
from yardland.version import __version__

if TYPE_CHECKING:
    import pandas as pd
    import xarray as xr

    from yardland.larderyears.result import Odds

F64 = npt.NDArray[np.float64]
SCHEMA = "yardland.years/1"


def dataset(odds: Odds) -> xr.Dataset:
    """Every counted year of every chain.

    Dimensions: chain, year (from 1, of those that count), month, nutrient, aim (energy, protein), good.

    Returns:
        xarray.Dataset whose variables carry `units`; the whole carries holding, seed, policy and what was told of all in `attrs`.
    """
    import xarray as xr

    run = odds.years
    frame = run.prepared.frame

    def series(name: str, dims: tuple[str, ...], units: str, words: str) -> xr.DataArray:
        values = run.stacked(name)
        return xr.DataArray(values, dims=("chain", "year", *dims), attrs={"units": units, "long_name": words})

    return xr.Dataset(
        {
            "coverage": series("coverage", ("nutrient", "month"), "1", "eaten / needed"),
            "least": series("least", ("aim", "month"), "1", "share of need, of the worst fed diet, 1 at most"),
            "store_days": series("stock_days", ("month",), "d", "food in store at the month's end, in days of need"),
            "days_on_plates": series("plate_days", ("month",), "d", "of these, days that plates can take"),
            "lacking_kg": series("lacking_kg", ("month",), "kg", "what people lack, as emergency food"),
            "bought_share": series("bought_share", (), "1", "most of the food energy that can have been bought"),
            "seed_kg": series("seed_kg", (), "kg", "seed that had to be got"),
            "arrived_kg": series("arrived_kg", ("good",), "kg", "gathered or given by animals, fresh mass"),
        },
        coords={
            "chain": [chain.chain for chain in run.chains],
            "year": np.arange(1, run.asked.chain_years + 1),
            "month": [month.name for month in odds.months],
            "nutrient": list(frame.larder.nutrients),
            "aim": ["energy", "protein"],
            "good": list(frame.goods),
        },
        attrs={
            "schema": SCHEMA,
            "version": __version__,
            "holding": run.prepared.ground.holding.place.name,
            "seed": run.asked.seed,
            "policy": "quick" if run.asked.quick else "shipped",
            "reliability": odds.reliability.value,
            "reliability_interval": [odds.reliability.low, odds.reliability.high],
        },
    )


def frame(odds: Odds) -> pd.DataFrame:
    """A row for each counted year: how short it was, what lay there, what was bought; shares unless the name says else."""
    import pandas as pd

    run = odds.years
    least = run.stacked("least")
    chains, years = least.shape[:2]
    short = odds.shortage.short
    found = pd.DataFrame(
        {
            "chain": np.repeat([chain.chain for chain in run.chains], years),
            "year": np.tile(np.arange(1, years + 1), chains),
            "short_months": short.sum(axis=2).ravel(),
            "energy_least": least[:, :, 0].min(axis=2).ravel(),
            "protein_least": least[:, :, 1].min(axis=2).ravel(),
            "person_days_short": odds.shortage.short_days.reshape(chains * years, -1).sum(axis=1),
            "store_days_least": run.stacked("stock_days").min(axis=2).ravel(),
            "days_on_plates_least": run.stacked("plate_days").min(axis=2).ravel(),
            "bought_energy_share": run.stacked("bought_share").ravel(),
            "seed_got_kg": run.stacked("seed_kg").ravel(),
        }
    )
    found.attrs |= {"schema": SCHEMA, "version": __version__, "seed": run.asked.seed}
    return found


def to_netcdf(odds: Odds, path: Path) -> None:
    """Write the dataset as NetCDF 3.

    Raises:
        ImportError: scipy is not installed.
        OSError: the file cannot be written.
    """
    write_bytes(path, bytes(dataset(odds).to_netcdf(engine="scipy")))


def to_parquet(odds: Odds, path: Path) -> None:
    """Write the table as Parquet.

    Raises:
        ImportError: pyarrow is not installed.
        OSError: the file cannot be written.
    """
    held = io.BytesIO()
    frame(odds).to_parquet(held, index=False, engine="pyarrow")
    write_bytes(path, held.getvalue())
