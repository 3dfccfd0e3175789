"""A long search that a person stops: what is held back while a solver asks, and what counts then."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import pytest
from streamlit.runtime.scriptrunner import StopException

from recommender.dashboard import searching
from recommender.dashboard.searching import Search


@pytest.fixture
def shown(monkeypatch: pytest.MonkeyPatch) -> list[tuple[float | None, str]]:
    """What was shown; as soon as it holds two things, the person wants something else."""
    monkeypatch.setattr(searching, "EVERY", -1.0)
    return []


def search_on(shown: list[tuple[float | None, str]], *, can_stop: bool) -> Search:
    def show(share: float | None, what: str) -> None:
        if len(shown) == 2:
            raise StopException
        shown.append((share, what))

    return Search(show, can_stop=can_stop)


def test_a_search_that_somebody_stops_ends_with_what_it_has(shown):
    search = search_on(shown, can_stop=True)
    search(3, 4, "job types")
    assert not search.stop() and search.counts
    search.end()
    assert search.stop() and search.stop() and search.counts
    search(4, 4, "job types")  # the solver is on its way out, the page is another one already
    assert shown == [(0.75, "job types")] * 2 and search.counts


def test_a_page_that_was_left_ends_its_search_and_nothing_counts(shown):
    search = search_on(shown, can_stop=True)
    search(3, 4, "job types")
    assert not search.stop() and search.stop() and not search.counts
    with pytest.raises(StopException):
        search(4, 4, "job types")


@pytest.mark.parametrize(("total", "can_stop"), [(0, True), (4, False)])
def test_half_an_answer_does_not_count(shown, total, can_stop):
    search = search_on(shown, can_stop=can_stop)
    search(5, total, "why there is no plan")
    assert search.counts and not search.stop()
    search.end()
    assert search.stop() and not search.counts
    with pytest.raises(StopException):
        search(6, total, "why there is no plan")
    assert shown[0][0] == (None if total == 0 else 1.0)


def test_a_solver_that_asks_in_a_thread_of_its_own_is_answered_and_nothing_is_shown_there(shown):
    search = search_on(shown, can_stop=True)
    with ThreadPoolExecutor(1) as thread:
        assert not thread.submit(search.stop).result() and shown == []
        search.end()
        assert thread.submit(search.stop).result() and shown == []
