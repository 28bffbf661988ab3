"""Rule sets and schemas are found in a checkout and in an installed wheel, from any folder."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest

from cds.shipped import shipped

ROOT = Path(__file__).parents[2]
SOURCES = ("cds", "rulesets", "schemas", "pyproject.toml", "README.md", "LICENSE")


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the wheel unpacked, as an installer lays it."""
    sources, built, folder = (tmp_path_factory.mktemp(name) for name in ("sources", "built", "unpacked"))
    for name in SOURCES:
        copy = shutil.copytree if (ROOT / name).is_dir() else shutil.copy
        copy(ROOT / name, sources / name)
    pip = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation", "--no-index"]
    subprocess.run([*pip, "--wheel-dir", built, sources], check=True, capture_output=True)
    (wheel,) = built.iterdir()
    ZipFile(wheel).extractall(folder)
    return folder


@pytest.mark.parametrize("name", ["rulesets", "schemas"])
def test_checkout_serves_its_own_folders(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert shipped(name) == ROOT / name


@pytest.mark.parametrize("name", ["rulesets", "schemas"])
def test_wheel_serves_the_same_files(name: str, unpacked: Path, tmp_path: Path) -> None:
    ask = f"import cds.shipped; print(cds.shipped.shipped({name!r}))"
    command = [sys.executable, "-c", f"import sys; sys.path.insert(0, {str(unpacked)!r}); {ask}"]
    found = Path(subprocess.run(command, cwd=tmp_path, check=True, capture_output=True, text=True).stdout.strip())
    assert found == unpacked / "cds" / "_data" / name
    assert list_files(found) == list_files(ROOT / name) != []


def test_wheel_says_that_it_is_typed(unpacked: Path) -> None:
    assert (unpacked / "cds" / "py.typed").is_file()


def test_missing_folder_is_an_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("cds.shipped.__file__", str(tmp_path / "cds" / "shipped.py"))
    with pytest.raises(FileNotFoundError, match="rulesets: not shipped"):
        shipped("rulesets")


def list_files(folder: Path) -> list[Path]:
    return sorted(path.relative_to(folder) for path in folder.rglob("*") if path.is_file())
