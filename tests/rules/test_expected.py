"""A want is a skip, or a failure where what is wanted was said to be there."""

from __future__ import annotations

import pytest
from expected import EXPECTED, lacking


@pytest.mark.parametrize(("expected", "outcome"), [
    ("", pytest.skip.Exception),
    ("chromium", pytest.skip.Exception),
    ("axe", pytest.fail.Exception),
    ("chromium,axe,postgresql", pytest.fail.Exception),
])  # fmt: skip
def test_a_want_is_a_failure_only_where_it_was_not_expected(monkeypatch, expected, outcome):
    monkeypatch.setenv(EXPECTED, expected)
    with pytest.raises(outcome, match="no such file"):
        lacking("axe", "no such file")
