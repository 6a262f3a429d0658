"""A real browser for tests: the Chromium of the system, driven by Playwright.

Where either is missing the tests that ask for it are skipped, and say which.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from playwright.sync_api import Browser

NAMES = ("chromium", "chromium-browser", "chrome")


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Chromium without a window; ``browser.new_page(...)`` opens a page."""
    api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")
    path = next((found for name in NAMES if (found := shutil.which(name))), None)
    if path is None:
        pytest.skip(f"no browser: none of {', '.join(NAMES)} is on the path")
    with api.sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        yield started
        started.close()
