"""Which steps from line to line of `tracer` an input takes: what makes it worth changing further."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import CodeType, FrameType
from typing import Any

import tracer

__all__ = ["Coverage"]

_ROOT = str(Path(tracer.__file__).parent)
#: Calls of a function without anything new after which it is looked at in one run of `_SELDOM` alone.
_PATIENCE = 400
_SELDOM = 40


class _Code:
    """What is known of one function: the steps that were taken, how long none was new."""

    __slots__ = ("is_ours", "since", "steps")

    def __init__(self, is_ours: bool) -> None:
        self.is_ours, self.since = is_ours, 0
        self.steps: set[tuple[int, int]] = set()


class Coverage:
    """Steps taken so far; `fresh` counts those that a run was first to take."""

    def __init__(self) -> None:
        self.codes: dict[CodeType, _Code] = {}
        self.total = self.fresh = self.runs = 0

    @contextmanager
    def watching(self) -> Iterator[None]:
        """Count the new steps of what is run inside."""
        self.fresh = 0
        self.runs += 1
        self.looks_at_all = self.runs % _SELDOM == 0
        old = sys.gettrace()
        sys.settrace(self._call)
        try:
            yield
        finally:
            sys.settrace(old)

    def _call(self, frame: FrameType, _event: str, _arg: Any) -> Any:
        code = frame.f_code
        known = self.codes.get(code)
        if known is None:
            known = self.codes[code] = _Code(code.co_filename.startswith(_ROOT))
        if not known.is_ours or (known.since > _PATIENCE and not self.looks_at_all):
            return None
        known.since += 1
        steps, last = known.steps, 0

        def line(frame: FrameType, event: str, _arg: Any) -> Any:
            nonlocal last
            if event == "line":
                step = (last, frame.f_lineno)
                last = step[1]
                if step not in steps:
                    steps.add(step)
                    known.since = 0
                    self.total += 1
                    self.fresh += 1
            return line

        return line
