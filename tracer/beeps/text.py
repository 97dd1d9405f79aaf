"""The next touch, how far along, and why: for a terminal of 80 columns."""

from __future__ import annotations

from tracer.base.text import clean, wrapped
from tracer.beeps.values import CAUTION, ChipGuess, NextTouch, Progress, TouchAdvice

__all__ = ["advice_as_text", "closed_words", "progress_words", "question_as_text"]

MOST_LISTED = 12


def advice_as_text(advice: TouchAdvice) -> str:
    """What to do next, why, and what is known so far."""
    lines = [clean(f"{advice.board}: which pins to beep next"), *_progress(advice.progress)]
    if advice.progress.touches == 0:
        lines += wrapped(CAUTION, "  ! ", "    ")
    lines += _contradictions(advice)
    lines += ["", "NEXT"]
    lines += _touch(advice.next) if advice.next else _closed(advice)
    if advice.chips:
        lines += ["", "CHIPS OF THE COLOUR PATH"]
        lines += _chips(advice.chips)
    lines += _rest(advice)
    return "\n".join(lines) + "\n"


def question_as_text(advice: TouchAdvice) -> str:
    """The next touch alone, for a conversation."""
    lines = [*_progress(advice.progress), *_contradictions(advice)]
    lines += _touch(advice.next) if advice.next else [*_closed(advice), *_rest(advice)]
    return "\n".join(lines) + "\n"


def _progress(progress: Progress) -> list[str]:
    return [f"  {progress_words(progress)}"]


def progress_words(progress: Progress) -> str:
    """How many connections are known, bits closed, and touches left."""
    touches = round(progress.touches_left)
    minutes = round(progress.minutes_left)
    time = f" ({minutes} minute{'s' if minutes != 1 else ''})" if minutes else ""
    left = f"about {touches} touch{'es' if touches != 1 else ''} left{time}" if touches else "no touch left"
    bits = f"{progress.bits_closed} of {progress.bits} bits closed" if progress.bits else "no bit found yet"
    count = f"{progress.connections} connection{'s' if progress.connections != 1 else ''}"
    return f"{count}, {bits}, {left}"


def _touch(touch: NextTouch) -> list[str]:
    what = "Once more: hold" if touch.kind == "repeat" else "Hold"
    lines = wrapped(f"{what} one lead on {touch.held} ({touch.held_words})", "  ", "    ")
    many = len(touch.legs) > 1
    verb = "sweep, in this order and up to the first beep:" if many else "touch"
    lines += wrapped(f"{verb} {touch.sweep_words}", "  ", "    ")
    lines += wrapped(touch.why, "    why:     ", "             ")
    lines += wrapped(touch.if_beep, "    a beep:  ", "             ")
    lines += wrapped(touch.if_none, "    no beep: ", "             ")
    if touch.ohms:
        lines += wrapped(touch.ohms, "    ohms:    ", "             ")
    return lines


def closed_words(advice: TouchAdvice) -> str:
    """What is said where no touch is left."""
    if advice.progress.bits and advice.progress.bits_closed == advice.progress.bits:
        return "Nothing more to beep: every bit that was found ends at a memory."
    return "Nothing more to beep; what stays open is said below."


def _closed(advice: TouchAdvice) -> list[str]:
    return wrapped(f"{closed_words(advice)} For the map: rgbroots trace, with these notes.", "  ", "  ")


def _contradictions(advice: TouchAdvice) -> list[str]:
    lines: list[str] = []
    for contradiction in advice.contradictions:
        lines += wrapped(contradiction.text, "  ! ", "    ")
        lines += [f"      {clean(line)}" for line in contradiction.lines]
    return lines


def _chips(chips: tuple[ChipGuess, ...]) -> list[str]:
    lines = []
    for does in dict.fromkeys(c.does for c in chips):
        lines.append(f"  {does}:")
        for chip in [c for c in chips if c.does == does]:
            sure = "found" if chip.chance >= 1 else f"{chip.chance:.0%}"
            place = f" at {chip.place}" if chip.place else ""
            lines += wrapped(f"{sure:>6} {chip.part} {chip.type}{place}: {chip.why}", "  ", "           ")
    return lines


def _rest(advice: TouchAdvice) -> list[str]:
    said = [(text, "! ") for text in advice.stopped] + [(text, "- ") for text in advice.unknown]
    if advice.untouched:
        few = ", ".join(advice.untouched[:MOST_LISTED])
        more = (
            f" and {len(advice.untouched) - MOST_LISTED} more" if len(advice.untouched) > MOST_LISTED else ""
        )
        said.append((f"not tried on every colour pin, as unlikely to be on one: {few}{more}", "- "))
    if advice.unsure:
        said.append((advice.unsure, "- "))
    if not said:
        return []
    lines = ["", "TO KNOW"]
    for text, sign in said:
        lines += wrapped(text, f"  {sign}", "    ")
    return lines
