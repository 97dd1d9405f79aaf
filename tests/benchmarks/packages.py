"""Packages of others that the program is compared with: optional, and kept away from its own.

They go into a folder of their own, as spydrnet brings along a package called ``tests`` that would hide ours.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from typing import Any

__all__ = ["COMPARED", "find_package", "how_to_install", "use_folder"]

#: What is compared, all of PyPI. sexpdata and numpy may be there anyhow.
COMPARED = ("kinparse", "sexpdata", "spydrnet", "numpy")

_FOLDER = "build/compared"


def use_folder(folder: Path) -> None:
    """Look for packages in a folder too, after all others."""
    if folder.is_dir():
        sys.path.append(str(folder))


def find_package(name: str) -> Any | None:
    """The module, or None where it is not installed."""
    try:
        return importlib.import_module(name)
    except ImportError:
        return None


def how_to_install() -> str:
    """Two commands. spydrnet 1.13 needs requests and does not say so."""
    return (
        f"pip install --target {_FOLDER} {' '.join(COMPARED)} requests\n"
        f"python -m tests.benchmarks --packages {_FOLDER}"
    )
