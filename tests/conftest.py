"""Profiles of hypothesis, skips with their reason, and the list of markers whose skip is a failure.

Names of CDS_MUST_RUN: each must have run at least once in this session, and none of its tests may be skipped.
"""

from __future__ import annotations

from collections.abc import Generator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from tests.needs import MUST_RUN, NEEDS, find_examples, must_run

settings.register_profile(
    "ci", derandomize=True, max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("deep", max_examples=5_000, deadline=None, print_blob=True)
settings.load_profile("ci")


class NoSkip:
    """Turns the skip of a test whose marker CDS_MUST_RUN names into a failure."""

    def __init__(self, required: frozenset[str]) -> None:
        self.required = required

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_makereport(self, item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
        report = yield
        broken = self.required & {mark.name for mark in item.iter_markers()}
        if report.skipped and broken and not hasattr(report, "wasxfail"):
            report.outcome = "failed"
            report.longrepr = f"skipped, and {MUST_RUN} names {', '.join(sorted(broken))}: {report.longrepr}"
        return report


class Attendance:
    """Which markers of CDS_MUST_RUN had a test that ran; a marker without one fails the session."""

    def __init__(self, required: frozenset[str]) -> None:
        self.missing = set(required)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.when == "call" and not report.skipped:
            self.missing -= report.keywords.keys()

    @pytest.hookimpl(trylast=True)
    def pytest_sessionfinish(self, session: pytest.Session) -> None:
        if self.missing and session.exitstatus == pytest.ExitCode.OK:
            session.exitstatus = pytest.ExitCode.TESTS_FAILED

    def pytest_terminal_summary(self, terminalreporter: pytest.TerminalReporter) -> None:
        for name in sorted(self.missing):
            terminalreporter.write_line(f"{MUST_RUN} names {name}, and no test with that marker ran", red=True)


@pytest.fixture(scope="session")
def fhir_examples() -> Path:
    """The folder of HL7's published examples; the test carries the marker `fhir_examples`."""
    folder = find_examples()
    assert folder is not None, "a test that reads the examples carries the marker fhir_examples"
    return folder


def pytest_configure(config: pytest.Config) -> None:
    try:
        required = must_run()
    except ValueError as wrong:
        raise pytest.UsageError(str(wrong)) from None
    config.pluginmanager.register(NoSkip(required))
    if not hasattr(config, "workerinput"):
        config.pluginmanager.register(Attendance(required))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    lacking = {name: reason for name, lacks in NEEDS.items() if (reason := lacks())}
    for item in items:
        for name in lacking.keys() & {mark.name for mark in item.iter_markers()}:
            item.add_marker(pytest.mark.skip(reason=lacking[name]))
