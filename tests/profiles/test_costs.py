"""What things cost, as a shop says it in plain words. Times by the clock: 60 minutes an hour."""

from __future__ import annotations

import pytest

from setupsheets.shop.settings import Costs, minutes


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("10 minutes", 10),
        ("1 minute", 1),
        ("7.5 min", 7.5),
        ("1 1/2 hours", 90),
        ("half an hour", 30),
        ("an hour", 60),
        ("2h", 120),
    ],
)
def test_times_are_read_as_they_are_said(text: str, found: float) -> None:
    assert float(minutes(text)) == found


@pytest.mark.parametrize("text", ["", "10", "ten minutes", "1/0 h", "minutes", "3 days", "1.2.3 h"])
def test_what_is_no_time_is_refused_with_what_was_found(text: str) -> None:
    with pytest.raises(ValueError, match="10 minutes or 1 1/2 hours"):
        minutes(text)
    with pytest.raises(ValueError, match="10 minutes"):
        Costs(easing=text)
