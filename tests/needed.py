"""Programs of the machine that tests look through: where they are not, a test fails and says what to install."""

import shutil

import pytest

PACKAGES = {"chromium": "chromium", "pdftoppm": "poppler-utils"}


def needed(program: str) -> str:
    """Return where a program is; without it the test fails."""
    found = shutil.which(program)
    if found is None:
        pytest.fail(f"{program} is not on this machine: apt-get install {PACKAGES[program]}, then run the tests again")
    return found
