"""The probe names, in one line, what a machine lacks for making the environment.

Each lack is simulated for a child Python by its search path or by a module placed before the standard library.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

PROBE = Path(__file__).parents[2] / "tools" / "probe.py"
NAME = f"python{sys.version_info[0]}.{sys.version_info[1]}"
WITH_ENGINE = pytest.mark.skipif(sys.version_info >= (3, 13), reason="durable-rules is not compiled on this Python")


def run_probe(folder: Path, **variables: str) -> tuple[int, str]:
    environment = {name: value for name, value in os.environ.items() if name != "CC"}
    environment |= {"PYTHONPATH": str(folder), **variables}
    answer = subprocess.run([sys.executable, PROBE], env=environment, capture_output=True, text=True, check=False)
    assert answer.stderr == ""
    return answer.returncode, answer.stdout


def test_nothing_missing_is_silence(tmp_path: Path) -> None:
    assert run_probe(tmp_path) == (0, "")


@pytest.mark.parametrize("module", ["venv", "ensurepip"])
def test_missing_module_of_the_standard_library_is_named(tmp_path: Path, module: str) -> None:
    (tmp_path / f"{module}.py").write_text("raise ImportError")
    line = f"missing: the modules venv and ensurepip; Debian package: {NAME}-venv\n"
    assert run_probe(tmp_path) == (1, line)


@WITH_ENGINE
def test_missing_header_is_named(tmp_path: Path) -> None:
    (tmp_path / "sitecustomize.py").write_text(
        "import sysconfig\n"
        "known = sysconfig.get_paths\n"
        f"sysconfig.get_paths = lambda *given, **named: known(*given, **named) | {{'include': {str(tmp_path)!r}}}\n"
    )
    assert run_probe(tmp_path) == (1, f"missing: the header Python.h; Debian package: {NAME}-dev\n")


@WITH_ENGINE
def test_missing_compiler_is_named(tmp_path: Path) -> None:
    assert run_probe(tmp_path, PATH=str(tmp_path)) == (1, "missing: a C compiler; Debian package: gcc\n")


@WITH_ENGINE
def test_compiler_without_headers_of_the_c_library_is_named(tmp_path: Path) -> None:
    bare = run_probe(tmp_path, CC="cc -nostdinc")
    assert bare == (1, "missing: the headers of the C library; Debian package: libc6-dev\n")


@WITH_ENGINE
def test_several_lacks_share_one_line(tmp_path: Path) -> None:
    (tmp_path / "venv.py").write_text("raise ImportError")
    status, line = run_probe(tmp_path, CC="no-such-compiler")
    assert status == 1
    assert line == f"missing: the modules venv and ensurepip, a C compiler; Debian package: {NAME}-venv gcc\n"


def test_old_python_is_named_and_nothing_else_is_asked(tmp_path: Path) -> None:
    (tmp_path / "sitecustomize.py").write_text("import sys\nsys.version_info = (3, 9, 2, 'final', 0)\n")
    line = "missing: Python 3.11 or later (this is 3.9); Debian package: python3 of Debian 12 or later\n"
    assert run_probe(tmp_path, PATH=str(tmp_path)) == (1, line)


def test_python_without_the_engine_needs_no_compiler(tmp_path: Path) -> None:
    (tmp_path / "sitecustomize.py").write_text("import sys\nsys.version_info = (3, 13, 0, 'final', 0)\n")
    assert run_probe(tmp_path, PATH=str(tmp_path)) == (0, "")
