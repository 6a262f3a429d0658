"""What every test shares: no clock in property tests, the same cases on every clean clone, and
what is read once for all of them."""

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

from setupsheets.files import documents
from setupsheets.files.events import YamlEvent, parsed_events
from setupsheets.lengths import Unit
from setupsheets.shop import finding
from setupsheets.shop.loading import load_built_in

# A slow machine is not a wrong answer: speed is measured in tests/benchmarks/. With CI set the
# cases are the same each time; at the bench they differ from run to run and so find more.
settings.register_profile("house", deadline=None, derandomize=bool(os.environ.get("CI")))
settings.load_profile("house")


def pytest_configure() -> None:
    """A text that was parsed once is not parsed again, and a built-in file is made into its object
    once: hundreds of tests run whole commands upon the same few files. Both go by what is in a
    file, never by its name alone, so that a file that a test has changed is read."""
    events: dict[str, tuple[YamlEvent, ...]] = {}
    things: dict[tuple[Path, bytes, Unit], Any] = {}
    parsed, made = parsed_events, load_built_in

    def parsed_once(text: str) -> Iterator[YamlEvent]:
        if text in events:
            yield from events[text]
            return
        seen = []
        for event in parsed(text):
            seen.append(event)
            yield event
        events[text] = tuple(seen)

    def made_once(path: Path, unit: Unit) -> Any:
        key = (path, path.read_bytes(), unit)
        if key not in things:
            things[key] = made(path, unit)
        return things[key]

    patch = pytest.MonkeyPatch()
    patch.setattr(documents, "parsed_events", parsed_once)
    patch.setattr(finding, "load_built_in", made_once)
