"""The figures of many loops as a table of 80 columns, and as plain data."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from statistics import fmean

from tests.closed_loop.bench.loop import CONVINCED, Loop

__all__ = ["loops_text", "report_as_data", "report_text"]

_HEAD = (
    f"{'':<26}{'n':>4}{'right':>7}{'half':>6}{'wrong':>7}{'sure,w.':>8}{'lists':>7}{'meas.':>7}{'plain':>7}"
)


def _share(loops: Sequence[Loop], holds: Callable[[Loop], bool]) -> float:
    return sum(holds(loop) for loop in loops) / len(loops) if loops else 0.0


def _figures(loops: Sequence[Loop]) -> dict[str, float]:
    return {
        "n": len(loops),
        "right": _share(loops, lambda x: x.verdict == "right"),
        "half": _share(loops, lambda x: x.verdict == "half"),
        "wrong": _share(loops, lambda x: x.verdict == "wrong"),
        "sure and wrong": sum(x.is_convinced and x.verdict == "wrong" for x in loops),
        "sure and half": sum(x.is_convinced and x.verdict == "half" for x in loops),
        "right or cured": _share(loops, lambda x: x.verdict == "right" or x.is_cured),
        "listed": _share(loops, lambda x: x.is_listed),
        "measurements": fmean(x.measurements for x in loops) if loops else 0.0,
        "right of listed": _share([x for x in loops if x.is_listed], lambda x: x.verdict == "right"),
        "sure on words": sum(x.said_on_words >= CONVINCED for x in loops),
        "sure on words and wrong": sum(
            x.said_on_words >= CONVINCED and x.verdict_on_words == "wrong" for x in loops
        ),
        "minutes": fmean(x.minutes for x in loops) if loops else 0.0,
        "plain right": _share(loops, lambda x: x.plain == "right"),
        "plain half": _share(loops, lambda x: x.plain == "half"),
        "plain measurements": fmean(x.plain_measurements for x in loops) if loops else 0.0,
        "plain minutes": fmean(x.plain_minutes for x in loops) if loops else 0.0,
    }


def _groups(loops: Sequence[Loop], key: Callable[[Loop], str]) -> dict[str, dict[str, float]]:
    names = sorted({key(loop) for loop in loops})
    return {name: _figures([x for x in loops if key(x) == name]) for name in names}


def _deciles(loops: Sequence[Loop]) -> list[dict[str, float]]:
    found = []
    for i in range(10):
        inside = [x for x in loops if i / 10 <= x.said < (i + 1) / 10 or (i == 9 and x.said >= 1)]
        if inside:
            said = fmean(x.said for x in inside)
            true = _share(inside, lambda x: x.verdict == "right")
            loosely = _share(inside, lambda x: x.verdict != "wrong")
            found.append(
                {"from": i / 10, "n": len(inside), "said": said, "true": true, "true or half": loosely}
            )
    return found


def report_as_data(loops: Sequence[Loop]) -> dict[str, object]:
    """All figures, and the loops."""
    return {
        "format": "rgbroots-bench",
        "all": _figures(loops),
        "by fault": _groups(loops, lambda x: x.family),
        "by board": _groups(loops, _kind_of_board),
        "said and true": _deciles(loops),
        "loops": [loop.as_dict() for loop in loops],
    }


def _kind_of_board(loop: Loop) -> str:
    return "random boards" if loop.board.startswith("random") else loop.board


def _line(name: str, f: dict[str, float]) -> str:
    return (
        f"{name:<26.26}{f['n']:>4.0f}{f['right']:>7.0%}{f['half']:>6.0%}{f['wrong']:>7.0%}{f['sure and wrong']:>8.0f}"
        f"{f['listed']:>7.0%}{f['measurements']:>7.1f}{f['plain right']:>7.0%}"
    )


def _table(title: str, groups: Iterable[tuple[str, dict[str, float]]]) -> list[str]:
    return ["", title, _HEAD, *(_line(name, figures) for name, figures in groups)]


def report_text(loops: Sequence[Loop]) -> str:
    """The figures for people.

    right: the first suspect is the fault; half: its place is right and its kind is not; sure, w.: at 90 % and more, and
    wrong; lists: the program has a suspect that would be right.
    """
    whole = _figures(loops)
    lines = _table("ALL", [("all loops", whole)])[1:]
    lines += [
        f"right, or cured by a chip exchanged on the way: {whole['right or cured']:.0%}",
        f"right of those that it lists {whole['right of listed']:.0%}; half right and sure {whole['sure and half']:.0f}; "
        f"{whole['minutes']:.0f} minutes",
        f"at 90 % and more on words alone {whole['sure on words']:.0f}, of them wrong "
        f"{whole['sure on words and wrong']:.0f}",
        f"plain search: right {whole['plain right']:.0%}, half {whole['plain half']:.0%}, "
        f"{whole['plain measurements']:.1f} measurements, {whole['plain minutes']:.0f} minutes",
    ]
    lines += _table("BY FAULT", _groups(loops, lambda x: x.family).items())
    lines += _table("BY BOARD", _groups(loops, _kind_of_board).items())
    lines += ["", "SAID AND TRUE", f"{'share of the first':<26}{'n':>4}{'said':>7}{'true':>6}{'or half':>9}"]
    for d in _deciles(loops):
        name = f"{d['from']:.0%} to {d['from'] + 0.1:.0%}"
        lines.append(f"{name:<26}{d['n']:>4.0f}{d['said']:>7.0%}{d['true']:>6.0%}{d['true or half']:>9.0%}")
    return "\n".join(lines) + "\n"


def loops_text(loops: Iterable[Loop]) -> str:
    """What happened in each loop, to look into it."""
    lines = []
    for x in loops:
        told = ", ".join(f"{colour} {word}" for colour, word in x.words.items())
        lines += [
            f"{x.verdict}, {x.said:.0%} {x.first} ({x.board}; {x.family}: {x.fault})",
            f"    told: {told}",
        ]
        lines += [f"    {step}" for step in x.steps]
    return "\n".join(lines) + "\n"
