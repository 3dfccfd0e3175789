"""Running a sweep over any executor: tasks, order, progress, interruption."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    wait,
)
from contextlib import contextmanager
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait as wait_for
from pathlib import Path
from threading import Thread, current_thread, main_thread

from recommender.sweep.kits import JudgedKit, cheapest_kit
from recommender.sweep.outcomes import DrawOutcome, SeasonJudge, outcomes, packed
from recommender.sweep.record import DrawsFile, header
from recommender.sweep.result import SweepResult, summary
from recommender.sweep.settings import SweepSettings
from recommender.work.plan import Plan

DRAWS_A_TASK = 5
"""Few enough that an interruption loses little; a task costs some milliseconds beside them."""

LAST_TASKS = 20
"""Towards the end tasks grow smaller, to this part of what is left: none then waits long for another's last task."""

TASKS_AT_ONCE = 64
"""Tasks handed over and not back yet: more would only fill memory."""

THREADS_OF = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""What numpy's libraries ask when they are loaded: how many threads to take."""


class WorkersLost(RuntimeError):
    """An executor gave out before all draws were done; those that were done are in the file, if there is one."""


Progress = Callable[[int, int], None]
"""Called with the draws that are done and those that were asked for."""


def sweep(
    plan: Plan,
    settings: SweepSettings | None = None,
    *,
    kit: JudgedKit | None = None,
    executor: Executor | None = None,
    processes: int = 2,
    keep: Path | str | None = None,
    progress: Progress | None = None,
) -> SweepResult:
    """Draw many seasons around a plan; what a kit makes of them, and what the cheapest kit of each would cost.

    Parameters
    ----------
    plan : Plan
    settings : SweepSettings, optional
    kit : JudgedKit, optional
        The kit to judge; the cheapest one of the plan if left out.
    executor : Executor, optional
        Any of :mod:`concurrent.futures`, or :func:`~recommender.sweep.cluster.cluster_executor`; it is left running.
        Without one, ``processes`` are started; a script that calls this must then guard its own start with
        ``if __name__ == "__main__":``, as every use of processes must.
    processes : int
        1 works in this process.
    keep : path, optional
        File of draws: they are kept there as they are done, and those that are there already are not done again.
    progress : callable, optional

    Returns
    -------
    SweepResult
        The same whatever the executor, and whether a file was resumed. With status ``stopped`` after Ctrl-C, from the
        draws that were done.

    Raises
    ------
    ValueError
        If ``processes`` is below 1.
    UnfitKit
        If the kit holds what the plan's stock does not.
    NoKitToJudge
        If no kit is given and none covers the plan.
    CannotResume
        If ``keep`` is a file of another sweep.
    WorkersLost
        If the executor gives out, such as a process that is killed or a cluster that is closed.
    """
    if processes < 1:
        raise ValueError(f"processes must be at least 1, not {processes}")
    settings = settings or SweepSettings()
    kit = kit or cheapest_kit(plan)
    judge = SeasonJudge(plan, settings, kit)
    file = DrawsFile(Path(keep), header(plan, settings, kit)) if keep is not None else None
    wanted = range(1, settings.draws + 1)
    done = {number: file.known[number] for number in wanted if number in file.known} if file else {}
    missing = [number for number in wanted if number not in done]
    try:
        for found in _found(judge, missing, executor, processes):
            if file is not None:
                file.append(found)
            done |= {outcome.number: outcome for outcome in found}
            if progress is not None:
                progress(len(done), settings.draws)
    except KeyboardInterrupt:
        pass
    return summary(judge, kit, [done[number] for number in sorted(done)])


def outcome_of(plan: Plan, settings: SweepSettings, number: int, kit: JudgedKit | None = None) -> DrawOutcome:
    """One draw by itself: the same as the draw of that number in a sweep.

    Parameters
    ----------
    plan : Plan
    settings : SweepSettings
    number : int
        From 1.
    kit : JudgedKit, optional
        The cheapest one of the plan if left out.
    """
    return SeasonJudge(plan, settings, kit or cheapest_kit(plan)).outcome(number)


def _found(
    judge: SeasonJudge, numbers: Sequence[int], executor: Executor | None, processes: int
) -> Iterator[list[DrawOutcome]]:
    """The draws of some numbers, in tasks as they are done."""
    tasks = list(_tasks(numbers))
    if executor is None and min(processes, len(tasks)) <= 1:
        for number in numbers:
            yield [judge.outcome(number)]
        return
    content = packed(judge.plan, judge.settings, judge.judged_kit)
    if executor is not None:
        yield from _over(executor, content, tasks)
        return
    with _processes(min(processes, len(tasks))) as pool:
        yield from _over(pool, content, tasks)


def _tasks(numbers: Sequence[int]) -> Iterator[Sequence[int]]:
    """The numbers of the draws of each task.

    >>> sizes = [len(task) for task in _tasks(range(200))]
    >>> sizes[:3], sizes[-3:], sum(sizes)
    ([5, 5, 5], [1, 1, 1], 200)
    """
    while numbers:
        size = max(1, min(DRAWS_A_TASK, len(numbers) // LAST_TASKS))
        yield numbers[:size]
        numbers = numbers[size:]


def _over(executor: Executor, content: bytes, tasks: Sequence[Sequence[int]]) -> Iterator[list[DrawOutcome]]:
    """The outcomes of tasks as an executor finishes them; what has not begun is taken back if this ends early."""
    waiting: set[Future[list[DrawOutcome]]] = set()
    left = iter(tasks)
    try:
        while True:
            while len(waiting) < TASKS_AT_ONCE and (task := next(left, None)) is not None:
                waiting.add(executor.submit(outcomes, content, task))
            if not waiting:
                return
            finished, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            for future in finished:
                yield future.result()
    except (BrokenExecutor, CancelledError) as error:
        raise WorkersLost("the processes that worked out the draws are gone") from error
    finally:
        for future in waiting:
            future.cancel()


@contextmanager
def _processes(count: int) -> Iterator[ProcessPoolExecutor]:
    """Fresh processes with one thread each, which leave Ctrl-C to this one."""
    with ProcessPoolExecutor(count, mp_context=get_context("spawn"), initializer=_begin_process) as pool:
        with _surroundings_of_processes():
            for _ in range(count):  # each task starts a process while none is idle
                pool.submit(_leave_interrupts)
        yield pool


@contextmanager
def _surroundings_of_processes() -> Iterator[None]:
    """What processes that start now take over: one thread for matrices, and no Ctrl-C even before they are up."""
    before = {name: os.environ.get(name) for name in THREADS_OF}
    in_main = current_thread() is main_thread()
    handler = signal.getsignal(signal.SIGINT)
    os.environ.update(dict.fromkeys(THREADS_OF, "1"))
    if in_main:
        _leave_interrupts()
    try:
        yield
    finally:
        if in_main:
            signal.signal(signal.SIGINT, handler)
        for name, value in before.items():
            os.environ.pop(name)
            if value is not None:
                os.environ[name] = value


def _leave_interrupts() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _begin_process() -> None:
    _leave_interrupts()
    Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """End a process whose parent is gone, were it killed: it would wait for tasks for ever."""
    parent = parent_process()
    if parent is not None:
        wait_for([parent.sentinel])
        os._exit(1)
