"""Where the folders beside the package lie: inside it once it is installed."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

__all__ = ["data_folder"]


def data_folder(kind: str) -> Traversable:
    """The folder `grammars` or `netlists`: inside the installed package, else beside it in a checkout."""
    installed = files("tracer") / kind
    if installed.is_dir():
        return installed
    return Path(__file__).resolve().parent.parent.parent / kind
