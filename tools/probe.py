"""Say in one line which Debian packages this machine lacks for making the environment.

Takes the Python that runs it, the search path and CC. Gives exit 0 and silence, or exit 1 and one line.
Never installs anything, never writes a file. Runs on old Pythons too, so that it can name them.
"""

import importlib
import os
import shutil
import subprocess
import sys
import sysconfig
from pathlib import Path

NEEDED = (3, 11)
WITHOUT_ENGINE = (3, 13)


def has_module(name):
    """Whether a module of the standard library is here: Debian packs some of them apart."""
    try:
        importlib.import_module(name)
    except ImportError:
        return False
    return True


def find_compiler():
    """The C compiler that building an extension module calls, as a list of words, or None."""
    words = (os.environ.get("CC") or sysconfig.get_config_var("CC") or "cc").split()
    return words if shutil.which(words[0]) else None


def has_c_library(compiler):
    """Whether the compiler finds the headers of the C library, which Debian only recommends beside gcc."""
    command = [*compiler, "-E", "-x", "c", "-"]
    return subprocess.run(command, input=b"#include <stdlib.h>\n", capture_output=True).returncode == 0


def missing_for_engine(name):
    """What compiling durable-rules lacks: pairs of what is missing and the Debian package that brings it."""
    if not Path(sysconfig.get_paths()["include"], "Python.h").is_file():
        yield "the header Python.h", name + "-dev"
    compiler = find_compiler()
    if compiler is None:
        yield "a C compiler", "gcc"
    elif not has_c_library(compiler):
        yield "the headers of the C library", "libc6-dev"


def find_missing(version):
    """Everything missing for a Python of this version: pairs of what is missing and the Debian package."""
    if version < NEEDED:
        wanted, found = (".".join(str(part) for part in pair[:2]) for pair in (NEEDED, version))
        yield f"Python {wanted} or later (this is {found})", "python3 of Debian 12 or later"
        return
    name = f"python{version[0]}.{version[1]}"
    if not (has_module("venv") and has_module("ensurepip")):
        yield "the modules venv and ensurepip", name + "-venv"
    if version < WITHOUT_ENGINE:
        yield from missing_for_engine(name)


def run():
    """Print one line naming all that is missing; 1 where anything is, else 0."""
    missing = list(find_missing(tuple(sys.version_info[:3])))
    if missing:
        lacks = ", ".join(lack for lack, _ in missing)
        packages = " ".join(package for _, package in missing)
        print(f"missing: {lacks}; Debian package: {packages}")
    return 1 if missing else 0


if __name__ == "__main__":
    sys.exit(run())
