"""What a person should know about a board or a file: values, not exceptions.

Every finding has a code from `CODES`, so that tests and programs need not read
its sentence.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

__all__ = ["CODES", "Finding", "Severity", "joined", "note", "warning"]

Severity = Literal["note", "warning"]

#: Every code there is, with what it stands for.
CODES: dict[str, str] = {
    "saved": "a finding of a map that another version of this program saved",
    # reading and joining
    "duplicate-part": "two parts carry one reference",
    "pin-on-two-nets": "one pin is listed on several nets",
    "undeclared-pin": "a net names a pin that its part does not declare",
    "nets-at-port": "two nets stand at one port of a sheet and are one net by it",
    "duplicate-net": "a net stands in a file twice",
    "hidden-supply": "supply pins without a wire were put on the nets of their names",
    "module-supply": "a supply net inside a module reaches no port; it was kept apart from the board's",
    "name-twins": "two nets carry one name; they were kept apart",
    "file-in-other-case": "a file of a schematic was found by a name that differs in upper and lower case",
    "case-twins": "nets differ only in upper and lower case",
    "undeclared-part": "a net names a part that the part list lacks",
    "nothing-connected": "no net joins two pins",
    "unannotated": "parts whose reference ends in ? carry no number",
    "no-connect-joined": "a not-connected word stood on several pins; they were kept apart",
    "skipped-clause": "clauses that this reader does not know were skipped",
    "no-end-mark": "the mark at the end of the file is missing; it may be cut short",
    "marking-for-footprint": "a word in the footprints' column was taken as the marking",
    "reference-guessed": "several words of a part line could be its reference",
    "cut-name": "a name fills the columns that the form has for it and may be cut",
    "pin-order-only": "a file tells the order of a part's pins only, not which leg each is",
    "no-pins-told": "a file names a part but none of its pins",
    "case-joined": "names that differ only in case are one in this form; they were joined",
    "opened-subcircuit": "a subcircuit was taken as a sheet and gone into",
    "title-line": "the first line of the file is a title, though it looks like a part",
    "nameless-alias": "an alias stands for a net's name, but the file does not tell the name",
    "unseen-characters": "names hold control characters, which are shown as escapes",
    "old-encoding": "the file is not UTF-8; cp1252 was assumed",
    "contradiction": "two inputs contradict one another; the later one was taken",
    "touch-without-junction": "a wire end or pin touches a wire without a junction",
    "missing-symbol": "no library has the symbol of a part, so that its pins are missing",
    "missing-sheet-pin": "a sheet pin has no label of its name in the sheet",
    "rails-joined": "joining two boards ties a supply to a signal",
    "unplaced-join": "a pin of a joined connector has no partner",
    "numberless-legs": "legs without a number were kept apart",
    # parts
    "unknown-part": "the part library has no entry for this part",
    "from-memory": "the legs of this part have no second source: no data sheet was compared",
    "by-pin-names": "the part was understood by the pin names in the drawing",
    "pins-disagree": "the drawing's pins differ from the part library's",
    "value-unread": "the value of a passive part cannot be read",
    "told-in-vain": "what was told of a part has no effect",
    "open-header": "a header without a jumper stands in the way of what could be a bit",
    "trimmer-middle": "a trimmer was taken at the middle of its travel",
    "way-assumed": "nothing says which legs of a part are the ends of its way; the usual ones were taken",
    "value-doubtful": "the value of a passive part can be read in two ways",
    "not-fitted": "a part of the output path is marked as not fitted",
    "switch-assumed": "a switch or jumper in the path was taken as closed",
    # colour pins and output stage
    "colour-by-name": "the colour pins were found by their names",
    "colour-doubtful": "the colour pins were found by names that may mean something else",
    "colour-by-shape": "the colour pins were found by the shape of the network; which is which is a guess",
    "colour-rivals": "other pins could be the colour pins",
    "shared-stage": "one driver feeds several colours",
    "no-effect": "a driver that an output stage reaches does not move its colour",
    "crosstalk": "a driver of one colour leaks a little into another",
    "clamp": "a driver blanks the output stage instead of carrying a bit",
    "sync-mixed": "a sync driver is mixed into a colour",
    "equal-weights": "two bits of a colour have equal weights",
    "odd-weight": "a weight is out of step with its neighbours",
    "resistor-slip": "a resistor differs from what its place in the set wants",
    "resistors-swapped": "two resistors of a set may be swapped",
    "resistor-open": "a resistor of an output stage leads nowhere",
    "pack-common-open": "the common leg of a resistor pack goes nowhere",
    "inverting-stage": "the output stage inverts",
    "passes-parts": "transistors, diodes or amplifiers stand between the drivers and the colour pin",
    "no-drivers": "nothing drives this colour pin",
    "order-by-name": "the order of the bits was taken from names",
    "assumed-supply": "a leg that was not beeped is taken to be on a supply",
    "guessed-supply": "a net was taken as a supply because of its shape",
    "stage-approximate": "the output stage was solved with its transistors taken as always conducting",
    # levels
    "levels-unknown": "the levels of a colour cannot be computed",
    "levels-differ": "real outputs part or join levels that ideal ones make",
    "levels-assumed": "the logic family of a driver is not known; a usual one was taken",
    "beyond-drive": "an output must give or take more current than its data sheet grants",
    "clips": "the gain of an amplifier asks for more than its supply gives",
    "coupled": "a capacitor couples the colour; a DC meter sees nothing behind it",
    "large-step": "a step of a colour is many times the others",
    "not-monotonic": "brightness does not rise with the code",
    "steps-cross": "the tolerance of the resistors can turn steps over",
    # palette
    "dump-base": "the addresses of a dump do not start at 0",
    "dump-bytes": "a dump holds words of two bytes; the low one was taken as the first",
    "dump-text": "a dump is made of printable characters only",
    "dump-unused-bits": "the bits of a dump that its part lacks are not constant",
    "inverted-outputs": "a memory turns over what is written; its dump was taken as read at the outputs",
    "loose-address": "an address line is not stated or has no driver",
    "other-bank": "a colour can also come from another memory",
    "mixed-banks": "the dumps given are of memories that never show at once",
    "shades-by-weight": "the volts of a colour are not known; its shades follow the weights",
    "colour-left-out": "a colour is missing, or is none of red, green and blue",
    # suspects
    "evidence-unused": "a piece of evidence could not be used",
    "evidence-against": "two pieces of evidence say different things of one place",
    "evidence-odd": "a piece of evidence does not fit the rest",
    # the drawing
    "away": "oddities of the drawing that do not touch the colours",
    # walk
    "several-drivers": "several outputs drive one net",
    "gate-undecided": "it is not settled which gate input is the data",
    "unused-leg": "a multiplexer leg is tied off or open",
    "drawn-as-input": "a pin that drives a colour is drawn as an input",
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing worth knowing.

    Attributes
    ----------
    code : str
        A key of `CODES`.
    severity : {'note', 'warning'}
        A warning may make the map wrong, a note does not.
    where : tuple of str
        Parts, pins (``U4.11``), nets or ``file:line`` it is about.
    text : str
        One sentence for a person.
    colour : str
        The colour that it is about, where it is about one: the text begins with it.
    like : str
        Findings of one code that have this in common say the same of other parts; empty where none does.
    """

    code: str
    severity: Severity
    where: tuple[str, ...]
    text: str
    colour: str = ""
    like: str = ""

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise ValueError(f"unknown finding code {self.code!r}")

    @property
    def body(self) -> str:
        """The text without the colour in front."""
        return self.text[len(_prefix(self.colour)) :]


def _prefix(colour: str) -> str:
    return f"{colour}: " if colour else ""


def note(code: str, text: str, *where: str, colour: str = "", like: str = "") -> Finding:
    """A finding that leaves the map right; of a colour, the text goes on behind its name."""
    return Finding(code, "note", where, _prefix(colour) + text, colour, like)


def warning(code: str, text: str, *where: str, colour: str = "", like: str = "") -> Finding:
    """A finding that may make the map wrong; of a colour, the text goes on behind its name."""
    return Finding(code, "warning", where, _prefix(colour) + text, colour, like)


def joined(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Each finding once; those that say the same of other colours or parts are one.

    >>> [f.text for f in joined([
    ...     note("inverting-stage", "it inverts", colour="red"), note("inverting-stage", "it inverts", colour="blue"),
    ...     note("from-memory", "no data sheet for U1", "U1", like="6116"),
    ...     note("from-memory", "no data sheet for U2", "U2", like="6116")])]
    ['red, blue: it inverts', 'no data sheet for U1; likewise U2']
    """
    groups: dict[tuple[str, ...], list[Finding]] = {}
    for finding in dict.fromkeys(findings):
        same = ("like", finding.like) if finding.like else ("text", finding.body)
        groups.setdefault((finding.severity, finding.code, *same), []).append(finding)
    return tuple(map(_one, groups.values()))


def _one(group: list[Finding]) -> Finding:
    first = group[0]
    alike = [f for f in group if f.body == first.body]
    colours = ", ".join(dict.fromkeys(f.colour for f in alike if f.colour))
    text = _prefix(colours) + first.body
    others = [_named(f) for f in group if f.body != first.body]
    if others:
        text += f"; likewise {', '.join(dict.fromkeys(others))}"
    where = tuple(dict.fromkeys(w for f in group for w in f.where))
    return Finding(first.code, first.severity, where, text)


def _named(finding: Finding) -> str:
    """A finding by what it is about."""
    at = ", ".join(finding.where)
    return f"{finding.colour} ({at})" if finding.colour and at else finding.colour or at
