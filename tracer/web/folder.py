"""What a built folder says of itself: ``build.json``, by which a later build and the server know it."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

__all__ = ["MANIFEST", "Manifest", "read_manifest"]

#: Its name; it is no file of the page, and is not served.
MANIFEST = "build.json"


@dataclass(frozen=True, slots=True)
class Manifest:
    """A build.

    Attributes
    ----------
    build : str
        Its hash.
    policy : str
        What its pages may do; the server says the same.
    files : tuple of str
        Path of each in the folder, with ``/``.
    """

    build: str
    policy: str
    files: tuple[str, ...]

    def as_json(self) -> str:
        """As it is written."""
        values = {"build": self.build, "policy": self.policy, "files": list(self.files)}
        return json.dumps(values, indent=1) + "\n"


def read_manifest(folder: Path) -> Manifest | None:
    """What a folder says of itself; None when it is no build.

    A file that leads out of the folder, which no build has, is none of it.
    """
    try:
        read = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        build, policy, names = read["build"], read["policy"], read["files"]
    except (OSError, ValueError, KeyError, TypeError):
        return None
    if not isinstance(build, str) or not isinstance(policy, str) or not isinstance(names, list):
        return None
    if not policy.isprintable():
        # A second line would be a header of its own.
        return None
    inside = [name for name in names if isinstance(name, str) and _is_inside(folder, name)]
    return Manifest(build, policy, tuple(inside))


def _is_inside(folder: Path, name: str) -> bool:
    return (folder / name).resolve().is_relative_to(folder.resolve())
