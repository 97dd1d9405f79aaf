"""Suspects and the next measurement, as text for a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.text import clean, wrapped
from tracer.suspects.text import suspect_text
from tracer.suspects.values import Measurement, Suspect, SuspectTable

__all__ = ["suspect_lines", "suspects_as_text", "whole_percents"]

_BAR = 20


def suspects_as_text(table: SuspectTable) -> str:
    """The answer in the order in which a repairer acts: what was said, who is suspected, what to do next."""
    lines = [clean(f"{table.board}: what is wrong with its colours")]
    if table.evidence:
        lines += ["", "EVIDENCE", *wrapped("; ".join(table.evidence), "  ")]
    else:
        lines += [
            "",
            *wrapped(
                "No evidence yet: say what the screen shows, --seen red=missing --seen blue=fine.", "  "
            ),
        ]
    lines += ["", "SUSPECTS"]
    *shares, rest = whole_percents([s.probability for s in table.suspects])
    for suspect, percent in zip(table.suspects, shares, strict=True):
        lines += _suspect(suspect, percent)
    if rest:
        lines.append(f"  {rest:3}%  all others together")
    if table.next:
        lines += ["", "NEXT"]
        for number, measurement in enumerate(table.next, 1):
            lines += _measurement(measurement, number)
    if table.afterwards:
        lines += ["", "BEFORE AND AFTER"]
        for sentence in table.afterwards:
            lines += wrapped(sentence, "  - ", "    ")
    if table.findings:
        lines += ["", "TO KNOW"]
        for finding in table.findings:
            lines += wrapped(finding.text, "  ! " if finding.severity == "warning" else "  - ", "    ")
    return "\n".join(lines) + "\n"


def whole_percents(probabilities: Sequence[float]) -> list[int]:
    """Per cent of each and, last, of all others: whole numbers that add up to 100 (largest remainders).

    >>> whole_percents([0.335, 0.335])
    [34, 33, 33]
    """
    exact = [100 * p for p in (*probabilities, max(0.0, 1 - sum(probabilities)))]
    found = [int(p) for p in exact]
    short = round(100 - sum(found))
    for i in sorted(range(len(exact)), key=lambda i: (found[i] - exact[i], i))[: max(short, 0)]:
        found[i] += 1
    return found


def suspect_lines(table: SuspectTable) -> list[tuple[str, str, str]]:
    """Probability, name and why of each suspect, clean, for other outputs."""
    percents = whole_percents([s.probability for s in table.suspects])
    return [
        (f"{percent}%", clean(suspect_text(s)), clean(s.why))
        for s, percent in zip(table.suspects, percents, strict=False)
    ]


def _suspect(suspect: Suspect, percent: int) -> list[str]:
    bar = "\u2588" * round(suspect.probability * _BAR)
    lines = [clean(f"  {percent:3}%  {suspect_text(suspect):<44.44} {bar}").rstrip()]
    for fault in [f for i, f in enumerate(suspect.faults[:2]) if i == 0 or f.probability >= 0.01]:
        if suspect.part is not None:
            lines += wrapped(f"{fault.probability:.0%} {fault.text}", "        ", "            ")
    return [*lines, *wrapped(suspect.why, "        why: ", "             ")]


def _measurement(measurement: Measurement, number: int) -> list[str]:
    place = f" (at {measurement.place})" if measurement.place else ""
    minutes = f"{measurement.minutes:g} minute{'s' if measurement.minutes != 1 else ''}"
    lines = wrapped(f"{measurement.what}{place}, {minutes}", f"  {number}. ", "     ")
    if number == 1:
        for outcome in measurement.outcomes:
            lines += wrapped(
                f"{outcome.reading} ({outcome.probability:.0%}): {outcome.means}", "       ", "         "
            )
        lines += wrapped(measurement.caution, "     ! ", "       ")
        if measurement.tell:
            lines += wrapped(f"then tell it, for example {measurement.tell}", "       ")
    return lines
