"""Which pins carry the colours: what is taken for them, and what is refused or doubted."""

from __future__ import annotations

import pytest

from tests.boards import board
from tracer.base.errors import UsageError
from tracer.bitmap.model import BitMap
from tracer.tracing.pipeline import trace
from tracer.tracing.told_pins import parse_told

COLOURS = ("red", "green", "blue")


def design(joins: str, names: tuple[str, str, str] = COLOURS, connector: str = "Conn_01x06") -> BitMap:
    """A PROM drives three nets over 470 ohm each; `joins` says how they reach the connector."""
    stage = "\n".join(
        f"part R{n} 470\nB{n}: U1.{n} R{n}.1\n{name}: R{n}.2 {{{n}}}".replace(f"{{{n}}}", "{}")
        for n, name in enumerate(names, 1)
    )
    ends = [line for line in joins.strip().splitlines() if not line.startswith("part ")]
    parts = "\n".join(line for line in joins.strip().splitlines() if line.startswith("part "))
    drawn = f"part J1 symbol={connector}\n" if connector else ""
    pins = [end.partition(" | ") for end in ends]
    text = stage.format(*(first for first, _, _ in pins))
    beyond = "\n".join(rest for _, _, rest in pins if rest)
    return trace(board(f"{drawn}part U1 82S123\n{parts}\n{text}\n{beyond}\nGND: U1.8 J1.4\nVCC: U1.16"))


def pins_of(bit_map: BitMap) -> dict[str, str]:
    return {c.name: f"{c.pin.part}.{c.pin.pin}" if c.pin.part else c.pin.net for c in bit_map.colours}


AT_ONCE = "J1.1\nJ1.2\nJ1.3"
BEHIND_RESISTORS = """
part R11 75
part R12 75
part R13 75
R11.1 | R11.2 J1.1
R12.1 | R12.2 J1.3
R13.1 | R13.2 J1.2
"""
BEHIND_CAPACITORS = BEHIND_RESISTORS.replace(" 75", " 220u").replace("R1", "C1")


@pytest.mark.parametrize(
    ("joins", "pins"),
    [
        (AT_ONCE, ("J1.1", "J1.2", "J1.3")),
        (BEHIND_RESISTORS, ("J1.1", "J1.3", "J1.2")),
        (BEHIND_CAPACITORS, ("J1.1", "J1.3", "J1.2")),
    ],
)
@pytest.mark.parametrize("names", [("RED", "GREEN", "BLUE"), ("VID_R", "VID_G", "VID_B")])
def test_the_named_net_may_lie_behind_a_part_in_the_line(
    joins: str, pins: tuple[str, str, str], names: tuple[str, str, str]
) -> None:
    bit_map = design(joins, names)
    assert pins_of(bit_map) == dict(zip(COLOURS, pins, strict=True))
    assert {colour.pin.found_by for colour in bit_map.colours} == {"name"}
    assert [str(c.bits[0].paths[0].source.pin) for c in bit_map.colours] == ["1", "2", "3"]
    assert bit_map.is_complete


def test_pins_by_one_letter_alone_leave_the_map_open() -> None:
    """R, G and B without a connector may mean anything."""
    lone = design("R1.2\nR2.2\nR3.2", ("R", "G", "B"), connector="")
    assert [f.code for f in lone.findings if f.severity == "warning"] == ["colour-doubtful"]
    assert lone.n_traced == lone.n_bits == 3
    assert not lone.is_complete
    assert design("R1.2\nR2.2\nR3.2", ("VID_R", "VID_G", "VID_B"), connector="").is_complete


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("read", "red"), ("grean", "green"), ("bleu", "blue"), ("R", "red"), ("grn", "green")],
)
def test_a_colour_typed_wrong_is_refused_with_the_one_it_is_near(typed: str, meant: str) -> None:
    with pytest.raises(UsageError) as caught:
        parse_told([f"{typed}=J1.2"])
    assert str(caught.value) == (
        f"--pin {typed.lower()}=J1.2: {typed.lower()} is nearly {meant}\n"
        f"fix: write --pin {meant}=J1.2, or give the colour a name unlike red, green and blue"
    )
    with pytest.raises(UsageError, match=f"is nearly {meant}"):
        trace(board("part R1 470\nA: R1.1 J1.2"), pins={typed: "J1.2"})


def test_a_colour_of_another_name_is_taken() -> None:
    assert parse_told(["intensity=J1.4", "red=J1.1"]) == {"red": "J1.1", "intensity": "J1.4"}
