"""Solves in several threads leave the terminal as it was."""

from __future__ import annotations

import os
import threading

from recommender.kit.solver import silent


def test_descriptors_come_back_after_overlapping_solves() -> None:
    before = [os.fstat(number).st_ino for number in (1, 2)]
    gate = threading.Barrier(4)

    def solve() -> None:
        for _ in range(50):
            with silent():
                gate.wait(timeout=10)

    threads = [threading.Thread(target=solve) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [os.fstat(number).st_ino for number in (1, 2)] == before
