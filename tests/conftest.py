"""Fixtures that several rooms share."""

import os
import shutil
import tempfile

import pytest

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

collect_ignore_glob = ["*conftest.py"]  # they hold fixtures, no examples to run


@pytest.fixture(scope="session")
def chromium():
    """A headless Chromium; tests that need one say so and are left out where there is none.

    HAULWRIGHT_BROWSER=required turns leaving out into failing.
    """
    found = shutil.which("chromium") or shutil.which("chromium-browser")
    if not found:
        words = "no Chromium on this machine: pages are not looked at"
        if os.environ.get("HAULWRIGHT_BROWSER") == "required":
            pytest.fail(words)
        pytest.skip(words)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as profile:
        running = playwright.chromium.launch(
            executable_path=found, args=[*FLAGS, f"--crash-dumps-dir={profile}"]
        )
        yield running
        running.close()
