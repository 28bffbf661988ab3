"""A marker named by CDS_MUST_RUN turns a skip, and the absence of any test, into a failure."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.needs import EXAMPLES, MUST_RUN, find_examples, must_run

pytest_plugins = ["pytester"]

CONFTEST = "from tests.conftest import *\n"
NEEDING = """
import pytest

@pytest.mark.fhir_examples
def test_reads() -> None: pass

def test_other() -> None: pass
"""


@pytest.fixture
def inner(pytester: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> pytest.Pytester:
    monkeypatch.delenv(EXAMPLES, raising=False)
    monkeypatch.delenv(MUST_RUN, raising=False)
    monkeypatch.syspath_prepend(Path(__file__).parents[2])
    pytester.makeini("[pytest]\nmarkers = fhir_examples\n")
    pytester.makeconftest(CONFTEST)
    pytester.makepyfile(NEEDING)
    return pytester


def test_absent_examples_are_a_skip_with_the_reason(inner: pytest.Pytester) -> None:
    result = inner.runpytest_subprocess("-rs", "-p", "no:cacheprovider")
    result.assert_outcomes(passed=1, skipped=1)
    result.stdout.fnmatch_lines(["*CDS_FHIR_EXAMPLES names no folder with expected.json"])


def test_skip_under_a_required_marker_fails(inner: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(MUST_RUN, "fhir_examples")
    result = inner.runpytest_subprocess("-p", "no:cacheprovider")
    result.assert_outcomes(passed=1, errors=1)
    assert result.ret == 1
    result.stdout.fnmatch_lines(["*skipped, and CDS_MUST_RUN names fhir_examples*"])


def test_required_marker_without_a_test_that_ran_fails(inner: pytest.Pytester, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(MUST_RUN, "fhir_examples")
    result = inner.runpytest_subprocess("-p", "no:cacheprovider", "-k", "other")
    assert result.ret == 1
    result.stdout.fnmatch_lines(["*CDS_MUST_RUN names fhir_examples, and no test with that marker ran*"])


@pytest.mark.parametrize("workers", ["0", "1"])
def test_present_examples_run(inner: pytest.Pytester, monkeypatch: pytest.MonkeyPatch, workers: str) -> None:
    (inner.path / "expected.json").write_text("[]")
    monkeypatch.setenv(EXAMPLES, str(inner.path))
    monkeypatch.setenv(MUST_RUN, "fhir_examples")
    result = inner.runpytest_subprocess("-p", "no:cacheprovider", "-n", workers)
    assert result.ret == 0
    result.assert_outcomes(passed=2)


def test_unknown_marker_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(MUST_RUN, "fhir_exampels")
    with pytest.raises(ValueError, match="names fhir_exampels; known: durable_rules, fhir_examples"):
        must_run()


def test_folder_of_examples_is_known_by_its_table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(EXAMPLES, str(tmp_path))
    assert find_examples() is None
    (tmp_path / "expected.json").write_text("[]")
    assert find_examples() == tmp_path.resolve()
