"""Compares one of our part types with a symbol of another library, pin by pin.

What is compared, and how far it goes
-------------------------------------
number      every pin drawn there exists here; every pin here is drawn there, supply and NC excepted.
supply      the same pins, plus and ground told apart where the name tells.
direction   in, out, three-state, open collector, bidirectional. Libraries draw a common data pin as
            three-state or as bidirectional: both agree with our bidirectional. Where a library has names
            only, those that begin as outputs or inputs do are compared.
polarity    of clear, preset, enable, load and write enable; only where the library marks it.
pair        inputs and outputs joined by data arcs lie in one unit, or carry a common index: within a pair
            only, as one library counts from 0 and the other from 1.
role        of inputs whose name is the same everywhere: clock, clear, output enable, data; addresses.
order       outputs that are no equals (counter stages, decoded numbers) run the same way.
address     the numbers of a memory's address pins.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from tests.published.symbols import OutsidePart, OutsidePin
from tracer.parts.model import PartType, PinType

__all__ = ["Difference", "Tally", "compare"]

_MARKS = re.compile(r"[~{}/\\_# ]")
_SUPPLY = re.compile(
    r"[AD]?V(?:CC|DD|PP|BB|S)\w*|\+5V?\w*|V\+|VS\+|[AD]?GND\w*|V(?:SS|EE)\d?|V-|VS-", re.IGNORECASE
)
_GROUND = re.compile(r"[AD]?GND\w*|V(?:SS|EE)\d?|V-|VS-|0V", re.IGNORECASE)
_OUT_NAME = re.compile(r"/?\d?(?:Q[a-h]?|Y|W|Sum|Dout)\d*|/?Rco")
_IN_NAME = re.compile(r"/?\d?(?:[A-F]|J|K|Clk|CLK|Clr|Pre|Oe|OE|En|Ser|Load|We|Ras|Cas|Din)\d*")
_TOKEN = re.compile(r"\d+|[a-z]+|[A-Z]")

#: Roles whose active level is compared.
_LEVEL_ROLES = frozenset({"clear", "preset", "enable", "load", "write_enable"})
#: Names of inputs that are the same in all libraries, and the roles they stand for.
_ROLE_NAMES = (
    (re.compile(r"\d?(?:CLK|CP|CK|CLOCK|CCLK|RCLK)[\dA-D]?"), frozenset({"clock", "load"})),
    (re.compile(r"\d?(?:CLR|MR|CLEAR|RESET|RST)\d?"), frozenset({"clear"})),
    (re.compile(r"\d?(?:OE|CE|OC)[\dA-D]?"), frozenset({"enable", "clock"})),
    (re.compile(r"\d?D[\dA-D]?|\d?[JK]\d?|[1-6]A"), frozenset({"data_in", "serial_in"})),
)
#: Kinds whose inputs A to D may be select lines.
_SELECTING_KINDS = frozenset({"multiplexer", "analogue switch"})
#: Kinds whose outputs are not interchangeable, so that their order is checked.
_ORDERED_KINDS = frozenset({"counter", "decoder", "shift register", "adder"})
#: Names that say the opposite with the other level: an inhibit that is high is an enable that is not low.
_INVERSE_WORDS = frozenset({"INH", "OD", "POL"})


@dataclass(frozen=True, order=True)
class Difference:
    """Where a symbol says something else than our table.

    Attributes
    ----------
    symbol, pin : str
        The library's name of the symbol, the pin number.
    topic : str
        number, supply, direction, polarity, role, pair, order or address.
    words : str
        Both sides.
    """

    symbol: str
    pin: str
    topic: str
    words: str = field(compare=False)


@dataclass
class Tally:
    """How much was really compared.

    Attributes
    ----------
    pins : int
        Pins that both sides have.
    told : int
        Those of which the library tells more than that they exist: supply, a direction, the same name, or
        which of several gates they belong to.
    """

    pins: int = 0
    told: int = 0
    supplies: int = 0
    directions: int = 0
    polarities: int = 0
    pairs: int = 0
    addresses: int = 0
    orders: int = 0
    roles: int = 0


def compare(ours: PartType, outside: OutsidePart, tally: Tally) -> list[Difference]:
    """All differences between a type and a symbol; `tally` counts what was compared."""
    drawn: dict[str, list[OutsidePin]] = {}
    for pin in outside.pins:
        drawn.setdefault(pin.number, []).append(pin)
    found = [
        (n, "number", f"{p[0].name} has no pin here") for n, p in drawn.items() if n not in ours.by_number
    ]
    for mine in ours.pins:
        tally.pins += mine.number in drawn
        tally.told += any(_is_told(ours, mine, other, outside) for other in drawn.get(mine.number, ()))
        if mine.number not in drawn and mine.direction not in ("power", "nc"):
            found.append((mine.number, "number", f"{mine.name} is not drawn there"))
        for other in drawn.get(mine.number, ()):
            found += [(mine.number, *said) for said in _compare_pin(ours, mine, other, outside, tally)]
    found += _pairs(ours, drawn, tally)
    found += _order(ours, drawn, tally)
    return [Difference(outside.name, *said) for said in found]


def _is_told(ours: PartType, mine: PinType, other: OutsidePin, outside: OutsidePart) -> bool:
    here, there = (sorted(_MARKS.sub("", name).upper()) for name in (mine.name, other.name))
    in_a_gate = other.unit > 0 and len({p.unit for p in outside.pins} - {0}) > 1
    return (
        here == there
        or in_a_gate
        or bool(_SUPPLY.fullmatch(_MARKS.sub("", other.name)) or _kind(ours, other, outside))
    )


def _compare_pin(
    ours: PartType, mine: PinType, other: OutsidePin, outside: OutsidePart, tally: Tally
) -> Iterator[tuple[str, str]]:
    bare = _MARKS.sub("", other.name)
    both = f"{mine.name} ({mine.direction}) here, {other.name} ({other.kind or 'no type'}) there"
    named_supply = bool(_SUPPLY.fullmatch(bare))
    if mine.direction == "power" or other.kind == "supply" or (named_supply and not other.kind):
        tally.supplies += 1
        is_supply = other.kind == "supply" or named_supply or other.kind == "nc"
        wrong_sign = named_supply and (mine.role == "ground") != bool(_GROUND.fullmatch(bare))
        if mine.direction != "power" or not is_supply or wrong_sign:
            yield "supply", both
        return
    if mine.direction == "nc" or other.kind == "nc" or bare.upper() == "NC":
        if not (mine.direction == "nc" and (other.kind in ("nc", "") or bare.upper() == "NC")):
            yield "number", both
        return
    if kind := _kind(ours, other, outside):
        tally.directions += 1
        if kind not in _agreeing_kinds(mine, by_name=not other.kind):
            yield "direction", both
    if mine.direction == "in" and mine.role in _LEVEL_ROLES and not _has_two_levels(mine.name, other.name):
        low = mine.name.startswith("/")
        tally.polarities += other.low or outside.marks_levels
        if (other.low and not low) or (low and outside.marks_levels and not other.low):
            yield "polarity", both
    if mine.direction == "in" and (roles := _roles_by_name(ours, bare.upper())):
        tally.roles += 1
        if mine.role not in roles:
            yield "role", both
    if ours.kind.stores and mine.role == "address":
        here, there = re.fullmatch(r"[LR]?A(\d+)", mine.name), re.fullmatch(r"A(\d+)", bare)
        tally.addresses += bool(here and there)
        if here and there and here[1] != there[1]:
            yield "address", both


def _roles_by_name(ours: PartType, name: str) -> frozenset[str]:
    """What an input with this name can be; empty where a name leaves it open."""
    if ours.kind.stores:
        return frozenset({"address"}) if re.fullmatch(r"A\d+", name) else frozenset()
    if not (ours.kind.passes or ours.kind == "counter") or (ours.kind in _SELECTING_KINDS and name in "ABCD"):
        return frozenset()
    return next((roles for pattern, roles in _ROLE_NAMES if pattern.fullmatch(name)), frozenset())


def _kind(ours: PartType, other: OutsidePin, outside: OutsidePart) -> str:
    """The pin's type; in a list of names by its name, for kinds where Q and Y are outputs, A to F inputs."""
    if other.kind or not outside.names_only or not (ours.kind.passes or ours.kind in ("counter", "decoder")):
        return other.kind
    return "out" if _OUT_NAME.fullmatch(other.name) else "in" if _IN_NAME.fullmatch(other.name) else ""


def _agreeing_kinds(mine: PinType, *, by_name: bool) -> frozenset[str]:
    if mine.direction == "bidirectional":
        return frozenset({"bidirectional", "three-state"} | ({"in", "out"} if by_name else set()))
    words = {"in": "in", "three_state": "three-state", "open_collector": "open collector"}
    said = words.get(mine.direction, "out")
    return frozenset({said} if not by_name or said == "in" else {said, "out"})


def _has_two_levels(mine: str, other: str) -> bool:
    """``SH//LD`` is active both ways; INH and /EN are one thing."""
    return "/" in mine[1:] or "/" in other[1:] or mine in _INVERSE_WORDS or other.upper() in _INVERSE_WORDS


def _pairs(
    ours: PartType, drawn: dict[str, list[OutsidePin]], tally: Tally
) -> Iterator[tuple[str, str, str]]:
    groups = _data_groups(ours)
    pins = [[other for number in group for other in drawn.get(number, [])[:1]] for group in groups]
    units = [{p.unit for p in group} for group in pins]
    if len(groups) < 2:
        return
    if len(set().union(*units)) >= len(groups) and all(0 not in u for u in units):
        for group, unit in zip(groups, units, strict=True):
            tally.pairs += len(unit) == 1
            if len(unit) > 1:
                yield group[0], "pair", f"pins {' '.join(group)} lie in several units there"
        return
    common = [set.intersection(*(_tokens(p.name) for p in group)) if group else set() for group in pins]
    everywhere = set.intersection(*common)
    indexed = sum(bool(shared - everywhere) for shared in common)
    for group, shared, names in zip(groups, common, pins, strict=True):
        tally.pairs += bool(shared - everywhere)
        all_numbered = all(any(c.isdigit() for c in p.name) for p in names)
        if not shared - everywhere and names and (all_numbered or 2 * indexed >= len(groups)):
            yield group[0], "pair", " ".join(f"{p.number}={p.name}" for p in names)


def _order(
    ours: PartType, drawn: dict[str, list[OutsidePin]], tally: Tally
) -> Iterator[tuple[str, str, str]]:
    """Outputs that are no equals (counter stages, decoded numbers) are counted alike, by one offset."""
    if ours.kind not in _ORDERED_KINDS and not (
        ours.kind == "latch" and any(a.role == "select" for a in ours.arcs)
    ):
        return
    runs: dict[str, list[tuple[int, str, str]]] = {}
    for mine in ours.pins:
        for other in drawn.get(mine.number, [])[:1] if ours.drives(mine.number) else ():
            here, there = _place(mine.name), _place(other.name)
            if here and there:
                words = f"{mine.name} here, {other.name} there"
                runs.setdefault(here[0], []).append((there[1] - here[1], mine.number, words))
    for run in (r for r in runs.values() if len(r) > 2):
        tally.orders += len(run)
        offsets = [offset for offset, _, _ in run]
        usual = max(set(offsets), key=offsets.count)
        yield from ((number, "order", words) for offset, number, words in run if offset != usual)


def _place(name: str) -> tuple[str, int] | None:
    """Stem and place in a run: ``Q3`` is 3 of Q, ``1Y2`` 2 of 1Y, ``1QC`` 2 of 1Q."""
    bare = _MARKS.sub("", name)
    if found := re.fullmatch(r"(\d?[A-Za-z]+)(\d+)[a-z]?", bare):
        return found[1], int(found[2])
    if found := re.fullmatch(r"(\d?[QY])([A-Ha-h])", bare):
        return found[1], "abcdefgh".index(found[2].lower())
    return None


def _data_groups(ours: PartType) -> list[tuple[str, ...]]:
    """Pin numbers joined by data arcs: one list for each gate, flip-flop or multiplexer."""
    group: dict[str, set[str]] = {}
    for arc in ours.arcs:
        if arc.kind == "data":
            merged = group.get(arc.source, {arc.source}) | group.get(arc.target, {arc.target})
            group.update(dict.fromkeys(merged, merged))
    return sorted({tuple(sorted(g, key=int)) for g in group.values()}, key=lambda g: int(g[0]))


def _tokens(name: str) -> set[str]:
    return set(_TOKEN.findall(_MARKS.sub("", name)))
