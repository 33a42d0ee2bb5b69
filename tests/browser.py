"""A real browser without a window, for what only a browser can tell of a page."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
#: Set to `required` where a browser was installed for these tests.
MUST_BE_HERE = "BOWLSIDE_BROWSER"
MISSING = (
    "no browser to test the handbook with: install `chromium` and `chromium-driver` (the check "
    "script .ci/run does so where it may)."
)


@contextmanager
def browser() -> Iterator[Any]:
    """A headless Chromium driven by selenium.

    Where there is none the test is skipped, or fails if the environment says that one must be here.
    """
    from selenium import webdriver

    binary = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    driver = shutil.which("chromedriver")
    if binary is None or driver is None:
        if os.environ.get(MUST_BE_HERE) == "required":
            pytest.fail(MISSING)
        pytest.skip(MISSING)
    options = webdriver.ChromeOptions()
    options.binary_location = binary
    for flag in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    service = webdriver.ChromeService(executable_path=driver)
    running = webdriver.Chrome(options=options, service=service)
    try:
        yield running
    finally:
        running.quit()
