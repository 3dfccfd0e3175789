"""An existing cluster as an executor: dask.distributed, an optional extra that is imported only when asked for."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager

CONNECT_WITHIN = 15.0
"""Longest wait for a cluster to answer. [s]"""


class NoCluster(RuntimeError):
    """The cluster can't be used; the message says why."""


@contextmanager
def cluster_executor(address: str) -> Iterator[Executor]:
    """An executor on a running cluster, whose workers must have this program installed in the same version.

    Parameters
    ----------
    address : str
        Of its scheduler, such as ``tcp://10.0.0.5:8786``.

    Raises
    ------
    NoCluster
        If dask.distributed is not installed, or no cluster answers.
    """
    try:
        from dask.distributed import Client  # type: ignore[import-not-found, unused-ignore]
    except ImportError as error:
        raise NoCluster(
            "a cluster needs the extra package dask.distributed: install rigging-kit-planner[cluster]"
        ) from error
    try:
        client = Client(address, timeout=CONNECT_WITHIN)
    except (OSError, ValueError) as error:
        raise NoCluster(f"no cluster answers at {address}: {error}") from error
    with client:
        yield client.get_executor()
