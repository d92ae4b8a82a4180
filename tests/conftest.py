"""Every test that checks a number says what kind of proof it is; the count per room is printed."""

from collections import Counter

import pytest
from hypothesis import settings

settings.register_profile("suite", deadline=None)
settings.load_profile("suite")
"""No test fails on a clock."""

KINDS = {
    "published": "a printed figure from a named source",
    "independent": "another library or program",
    "by_hand": "worked from a cited equation",
    "law": "balance, similarity, limit or symmetry",
    "practice": "common practice, no source",
    "frozen": "own output, only beside another kind",
    "behaviour": "what a user sees: files, words, exit codes (no number of the trade)",
}


def pytest_configure(config: pytest.Config) -> None:
    for name, meaning in KINDS.items():
        config.addinivalue_line("markers", f"{name}(source): {meaning}")
    config.addinivalue_line("markers", "row(*ids): check-table rows this test closes")


LONGEST = (
    "test_doors_axe.py",
    "test_doors_pages.py",
    "test_packet_jobs.py",
    "test_doors_touch.py",
    "test_doors_cli.py",
    "test_doors_web.py",
    "test_choose.py",
    "test_plan.py",
    "test_assess.py",
)
"""Files that take minutes go first, so that no worker is left with one at the end."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    place = {name: at for at, name in enumerate(LONGEST)}
    items.sort(key=lambda item: place.get(item.path.name, len(LONGEST)))
    unmarked = [
        item.nodeid
        for item in items
        if isinstance(item, pytest.Function) and not any(item.get_closest_marker(kind) for kind in KINDS)
    ]
    if unmarked:
        raise pytest.UsageError("tests without a kind of proof: " + ", ".join(unmarked))


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    counts: dict[str, Counter[str]] = {}
    for report in terminalreporter.stats.get("passed", []):
        if report.when == "call":
            room = report.nodeid.split("::")[0].removeprefix("tests/").removesuffix(".py").split("/")[0]
            room = room.removeprefix("test_").split("_")[0]
            counts.setdefault(room, Counter()).update(kind for kind in KINDS if kind in report.keywords)
    terminalreporter.section("kinds of proof per room")
    for room, kinds in sorted(counts.items()):
        terminalreporter.write_line(f"{room:12}" + "".join(f" {kind} {kinds[kind]:4}" for kind in KINDS if kinds[kind]))
