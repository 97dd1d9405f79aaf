"""OrCAD PCB II netlists and KiCad's netlists before version 4.

The form is described in `grammars/orcad.lark`. KiCad writes ``_`` for a blank
in footprint, value and net; Altium leaves blanks, so that a part line such as
``( 00000012 TWO WORD FOOTPRINT X5 VALUE IN WORDS`` does not say where the
reference stands. It is then the word of a reference's shape that occurs in no
other part line; a net called ``NetX5_1`` on the part's pin 1 proves it. Where
several words qualify the reader says which one it took.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field

from tracer.base.findings import warning
from tracer.importers.collector import Collector
from tracer.importers.statements import read_statements
from tracer.importers.text import Positions
from tracer.netlist.board import Netlist, Pin, PinRef

__all__ = ["parse"]

_WANTED = {
    "OPEN": "the opening bracket and its { comment }",
    "PART": "a part such as ( 4C0FCB4A DIP20 U9 74LS273",
    "PIN": "a pin such as ( 2 RED_2 )",
    "CLOSE": "a closing bracket",
    "END": "*",
}
_SHAPE = re.compile(r"[A-Za-z][A-Za-z_]{0,5}[0-9]+[A-Za-z]?|[A-Za-z]{1,4}\?")
#: How references begin (IEEE 315-1975, clause 22, from memory, and what drawing programs add).
_LETTERS = re.compile(
    r"(?:U|IC|R|RN|RP|RR|RV|VR|C|CE|CN|D|CR|LED|ZD|L|FB|Q|TR|T|J|JP|P|PL|SK|CONN?|X|Y|XTAL|K|RL|F|S|SW|TP|BT|H|LS|M)[0-9?]",
    re.IGNORECASE,
)
#: Case sizes of chip parts, as in C0805 (EIA sizes; common practice).
_SIZED = re.compile(r"[A-Za-z]+(?:0[0-9]{3}|1206|1210|1808|1812|2010|2220|2512)")
_LIBRARY = re.compile(r"(?<![ \t])[ \t]+\{(?:Lib=)?([^}\n]*)\}[ \t]*$")
_PIN = re.compile(r"\([ \t]*([^\s()]+)(?:[ \t]+([^\n]*))?[ \t]*\)[ \t]*$")
_LONE_PIN = re.compile(r"\([ \t]*[^\s()]+[ \t]+\S+[ \t]+\)[ \t]*$")
#: KiCad fills a pin's number up to four columns; a lone word behind them is the net of a pin without a number.
_NET_COLUMN = 7


@dataclass
class _Drawn:
    """A part line, split at single blanks behind its stamp, and the pins below it."""

    line: int
    words: list[str]
    symbol: str
    pins: list[tuple[str, str, int]] = field(default_factory=list)


def parse(text: str, file: str, name: str) -> Netlist:
    """Read a netlist.

    Raises
    ------
    NetlistError
        A bracket that does not match, a part line without a reference, a pin outside of a part, or a pin line that is none.
    """
    positions = Positions(text, file)
    drawn: list[_Drawn] = []
    for statement in read_statements("orcad", positions, _WANTED):
        at = statement.start_pos or 0
        if statement.type == "PART":
            drawn.append(_part_line(statement, positions, at, statement.line or 1))
        elif statement.type == "PIN":
            match = _PIN.match(statement)
            if not match:
                raise positions.error(
                    "this is no pin",
                    at,
                    "write a pin and its net in brackets, in a line of their own, for example ( 2 RED_2 )",
                )
            number, net = match[1], (match[2] or "").rstrip(" \t")
            if not net and match.start(1) >= _NET_COLUMN:
                number, net = "", number
            drawn[-1].pins.append((number, net.strip(" \t\r"), statement.line or 1))
    collector = Collector(file)
    counts = Counter(word for part in drawn for word in {w for w in part.words if _SHAPE.fullmatch(w)})
    for part in drawn:
        _take(part, counts, collector)
    return collector.netlist(name)


def _part_line(line: str, positions: Positions, at: int, number: int) -> _Drawn:
    if _LONE_PIN.match(line):
        raise positions.error(
            "this pin stands outside of a part",
            at,
            "the bracket that closes a part stands below its last pin",
        )
    # Behind the last bracket that closes but this: from each "{" before it the search would go to the end in vain.
    library = _LIBRARY.search(line, line.rfind("}", 0, len(line.rstrip(" \t")) - 1) + 1)
    plain = line[: library.start()] if library else line
    body = plain[1:].lstrip(" \t").replace("\t", " ")
    words = body.split(" ")[1:]
    if not any(words[1:]):
        raise positions.error(
            "this part line names no part",
            at,
            "write stamp, footprint, reference and value: ( 4C0FCB4A DIP20 U9 74LS273",
        )
    return _Drawn(number, words, library[1].strip() if library else "")


def _take(part: _Drawn, counts: Counter[str], collector: Collector) -> None:
    at, rivals = _reference_at(part, counts)
    words = part.words
    reference = words[at]
    value = " ".join(words[at + 1 :]).strip()
    collector.part(reference, part.line, value, symbol=part.symbol, footprint=" ".join(words[:at]).strip())
    if rivals:
        collector.findings.append(
            warning(
                "reference-guessed",
                f"line {part.line} has several words that could be the reference ({', '.join(rivals)}); "
                f"{reference} was taken",
                reference,
                f"{collector.file}:{part.line}",
            )
        )
    for number, net, line in part.pins:
        collector.declare(reference, Pin(number))
        if net:
            pins = collector.net("?" if net.startswith("?") else net, line)
            pins.append(PinRef(reference, number))


def _reference_at(part: _Drawn, counts: Counter[str]) -> tuple[int, list[str]]:
    """Where the reference stands, and all words that could be it if that is not settled."""
    words = part.words
    shaped = [i for i, word in enumerate(words) if i > 0 and _SHAPE.fullmatch(word)]
    # KiCad: FOOTPRINT, two blanks, REFERENCE, VALUE; the style sheets: one blank. Neither has blanks in a word.
    if len(words) in (3, 4) and words[0] and words[1] == "" and words[2]:
        return 2, []
    # Altium names an unconnected pin's net after the part.
    named = [i for i in shaped if any(net == f"Net{words[i]}_{number}" for number, net, _ in part.pins)]
    if len(named) == 1:
        return named[0], []
    # No footprint, or as many words as there are facts.
    if words[1] and (1 in shaped or not shaped) and (words[0] == "" or len(words) <= 3):
        return 1, []
    alone = [i for i in shaped if counts[words[i]] == 1 and not _SIZED.fullmatch(words[i])]
    usual = [i for i in alone if _LETTERS.match(words[i])]
    for choice in (alone, usual):
        if len(choice) == 1:
            return choice[0], []
    rest = usual or alone or shaped or [i for i, word in enumerate(words) if i > 0 and word]
    return rest[0], [words[i] for i in rest]
