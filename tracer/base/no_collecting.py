"""Python's search for reference cycles, and when it is not worth its time."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["no_collecting"]


@contextmanager
def no_collecting() -> Iterator[None]:
    """Leave the search out, as it finds no cycles among the millions of values of a large board, and costs a third."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
