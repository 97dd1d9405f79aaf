"""The program's own version, as it was installed."""

from __future__ import annotations

__all__ = ["own_version"]


def own_version() -> str | None:
    """Such as ``0.1.0``; None where the program is not installed."""
    # Loaded for this alone.
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("rgbroots")
    except PackageNotFoundError:
        return None
