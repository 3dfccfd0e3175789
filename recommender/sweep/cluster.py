"""An existing cluster as an executor: dask.distributed, an optional extra that is imported only when asked for."""

from __future__ import annotations

import logging
from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from importlib.metadata import version
from typing import Any

from recommender.sweep.running import WorkersLost

CONNECT_WITHIN = 15.0
"""Longest wait for a cluster to answer, and then for its first worker. [s]"""

PROGRAM = "rigging-kit-planner"
LOGGERS = ("distributed", "distributed.client")
"""What the client would write on the error stream by itself; what matters of it is told in errors."""


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
        If dask.distributed is not installed, no cluster answers, or its workers lack this program.
    WorkersLost
        If the workers died over a task, again and again.
    """
    try:
        from dask.distributed import Client, KilledWorker  # type: ignore[import-not-found, unused-ignore]
    except ImportError as error:
        raise NoCluster(
            f"a cluster needs the extra package dask.distributed: install {PROGRAM}[cluster]"
        ) from error
    with _quietly():
        try:
            client: Any = Client(address, timeout=CONNECT_WITHIN)  # type: ignore[no-untyped-call, unused-ignore]
        except (OSError, ValueError) as error:
            raise NoCluster(f"no cluster answers at {address}: {error}") from error
        with client:
            _require_program(client, address)
            try:
                yield client.get_executor()
            except KilledWorker as error:
                raise WorkersLost("the workers of the cluster died over a task, again and again") from error


def _require_program(client: Any, address: str) -> None:
    """Wait for a worker, and refuse workers with another version of this program, or without it."""
    try:
        client.wait_for_workers(1, timeout=CONNECT_WITHIN)
    except TimeoutError as error:
        raise NoCluster(f"the cluster at {address} has no workers") from error
    own = version(PROGRAM)
    try:
        found = set(client.run(version, PROGRAM).values())
    except ImportError as error:
        raise NoCluster(
            f"the workers of the cluster at {address} lack this program: install {PROGRAM}"
        ) from error
    if found - {own}:
        others = ", ".join(sorted(found - {own}))
        raise NoCluster(
            f"workers of the cluster at {address} have {PROGRAM} {others}, this is {own}: install the same"
        )


@contextmanager
def _quietly() -> Iterator[None]:
    """Without the client's own messages."""
    loggers = [logging.getLogger(name) for name in LOGGERS]
    before = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        for logger, level in zip(loggers, before, strict=True):
            logger.setLevel(level)
