"""Find the folders that ship beside the code: rule sets and schemas.

Takes the name of a folder. Gives its place in the checkout where the code runs from one, else in the installed wheel.
Never reads what is inside, never looks at the working directory.
"""

from __future__ import annotations

from pathlib import Path
from typing import Literal

Folder = Literal["rulesets", "schemas"]


def shipped(name: Folder) -> Path:
    """The folder `rulesets` or `schemas`, as an absolute path.

    Raises:
        FileNotFoundError: neither the checkout nor the installed package holds it.
    """
    package = Path(__file__).resolve().parent
    folder = package.parent / name if is_checkout(package.parent) else package / "_data" / name
    if not folder.is_dir():
        raise FileNotFoundError(f"{name}: not shipped with this installation")
    return folder


def is_checkout(root: Path) -> bool:
    """Whether the code lies in a source tree: a folder of site packages holds no project file."""
    return (root / "pyproject.toml").is_file()
