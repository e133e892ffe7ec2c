"""What is asked of many years, and which years of a chain count."""

from __future__ import annotations

from dataclasses import asdict, dataclass

BURN_IN = 3
"""Years before the first that counts in a settled chain: by then stores and heads move by under a twentieth of their spread
(docs/years-policy.md measures it)."""
LAST = 1
"""The last year never counts: a program empties the shelves at its horizon."""
MOST_COUNT = 100_000
"""Most counted years of a run (own choice): beyond, the sampling interval is far under what the handbooks leave open."""
DRAWS, CHAINS_OF_A_DRAW = 5, 2
"""Draws of yields for the range of knowledge, and chains of each: the least that tell knowledge from sampling."""
SAME_CHAIN = ("count", "within", "jobs", "scheduler")
"""What may differ between two runs whose chains are equal."""


@dataclass(frozen=True)
class Asked:
    """What is asked: counted years, seed, years counted in a chain, whether to look only to the end of each year.

    within : stop when the interval is no wider than this on either side, None for never ; warmer_c : added to every day
    jobs : processes ; scheduler : address of a Dask cluster that takes their place, "" for none
    burn_in : years of a chain before the first that counts; a run sets it by how its plan starts
    """

    count: int = 50
    seed: int = 1
    chain_years: int = 10
    quick: bool = False
    within: float | None = None
    warmer_c: float = 0.0
    jobs: int = 1
    scheduler: str = ""
    burn_in: int = BURN_IN

    @property
    def chains(self) -> int:
        """Chains that hold so many counted years, the last one perhaps more."""
        return -(-self.count // self.chain_years)

    @property
    def length(self) -> int:
        """Years of a chain, with those that do not count."""
        return self.burn_in + self.chain_years + LAST

    @property
    def counted(self) -> slice:
        """The years of a chain that count."""
        return slice(self.burn_in, self.burn_in + self.chain_years)

    def of_a_chain(self) -> dict[str, object]:
        """All that a chain hangs on."""
        return {name: value for name, value in asdict(self).items() if name not in SAME_CHAIN}
