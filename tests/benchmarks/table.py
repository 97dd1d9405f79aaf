"""The results as plain text, 80 columns wide."""

from __future__ import annotations

from collections.abc import Iterable

from tests.benchmarks.measure import Row

__all__ = ["HEAD", "line", "summary"]

HEAD = f"{'what: against what':<37}{'ours':>8}{'other':>8}{'figure':>11}{'goal':>7}"
_RULE = "-" * 80


def _short(value: float) -> str:
    """About three figures.

    >>> [_short(v) for v in (322.34, 32.04, 3.204, 0.1234)]
    ['322', '32.0', '3.20', '0.12']
    """
    return f"{value:.0f}" if value >= 100 else f"{value:.1f}" if value >= 10 else f"{value:.2f}"


def line(row: Row) -> str:
    """One or two lines: the figure's smallest and largest stand below, beside what there is to say."""
    goal = str(row.goal) if row.goal else ""
    if row.figure is None:
        return f"{row.what:<37}{'':>8}{'':>8}{'-':>11}{goal:>7}  {row.remark}"
    figure = f"{_short(row.figure.median)} {row.unit}"
    first = f"{row.what:<37}{row.ours:>8}{row.other:>8}{figure:>11}{goal:>7}  {row.verdict}"
    apart = f"{_short(row.figure.low)} to {_short(row.figure.high)}"
    return f"{first.rstrip()}\n{apart:>64}" if row.figure.low != row.figure.high else first.rstrip()


def summary(rows: Iterable[Row]) -> str:
    """How many goals were met, and which were not."""
    rows = list(rows)
    met = sum(row.verdict == "met" for row in rows)
    missed = [row.what for row in rows if row.verdict == "missed"]
    untried = [row.what for row in rows if row.figure is None]
    text = f"{_RULE}\n{met} goals met, {len(missed)} missed"
    text += "".join(f"\nmissed: {what}" for what in missed)
    return text + "".join(f"\nnot tried: {what}" for what in untried)
