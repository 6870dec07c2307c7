"""What carries out many plans at once: processes on this machine, or a Dask scheduler that is there already."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from functools import partial
from typing import Any

from calculators.many import Planned, Ward, plan_ward


class EngineFailed(Exception):
    """The engine is not there or stopped; the text is one line for the reader."""


def over_processes(wards: Sequence[Ward], draws: int, seed: int, workers: int) -> Iterator[Planned]:
    """Each ward's plan in the order of the wards, whichever process is done first. Raises ``EngineFailed``."""
    work = partial(plan_ward, draws=draws, seed=seed)
    if workers == 1:
        yield from map(work, wards)
        return
    try:
        with ProcessPoolExecutor(workers) as pool:
            yield from pool.map(work, wards)
    except BrokenProcessPool:
        raise EngineFailed("A process that plans wards was ended from outside, perhaps for want of memory.") from None


def dask_library(scheduler: str = "") -> tuple[Any, Any]:
    """The library, and what carries out its work: the scheduler of that address, else processes. Raises ``EngineFailed``."""
    try:
        import dask

        if scheduler:
            from dask.distributed import Client
    except ImportError:
        raise EngineFailed("The engine dask needs the library dask: pip install 'calculators[dask]'") from None
    if not scheduler:
        return dask, "processes"
    try:
        return dask, Client(scheduler)
    except (OSError, ValueError) as error:
        raise EngineFailed(f"No Dask scheduler answers at ‘{scheduler}’ ({error}).") from None


def over_dask(wards: Sequence[Ward], draws: int, seed: int, dask: Any, scheduler: Any) -> Iterator[Planned]:
    """The same through ``dask.delayed`` and ``dask.compute``, carried out by ``scheduler``."""
    yield from dask.compute(*(dask.delayed(plan_ward)(ward, draws, seed) for ward in wards), scheduler=scheduler)
