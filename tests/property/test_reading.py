"""Whatever the text, it is read or refused with a sentence; and what is written comes back."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from random import Random
from typing import TypeVar

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.property.strategies import as_connections, as_kicad, as_net_rows, as_pin_rows, boards
from tracer.base.errors import TracerError
from tracer.importers import FORMATS, parse_netlist
from tracer.netlist.board import Netlist, pin_groups
from tracer.netlist.check import check_netlist

T = TypeVar("T")
TEXT_FORMATS = [form.name for form in FORMATS if not form.from_file]

#: Words of the formats, so that random texts get past their first lines.
WORDS = st.sampled_from(
    [
        *"()\",;|\t\n\r\\~{}[].:/-'# ",
        "(export",
        "(nets",
        "(net",
        "(node",
        '(ref "U1")',
        "(pin 2)",
        "(components",
        "(comp",
        "(libparts",
        "(libpart",
        "(name",
        "part,pin,net\n",
        "net,pins\n",
        "from\tto\n",
        "net,U1,U2\n",
        "U1",
        "U1.2",
        "N/C",
        "GND",
        "9" * 5000,
        "\ufeff",
        "\x00",
        "\u2028",
        "é",
    ]
)
texts = st.one_of(
    st.text(),
    st.lists(WORDS, max_size=40).map("".join),
    st.lists(st.one_of(WORDS, st.text(max_size=4))).map("".join),
)


def read_or_refuse(text: str, form: str | None) -> None:
    read, refused = None, None
    try:
        read = parse_netlist(text, "f", format_name=form)
    except TracerError as error:
        refused = error
    if read is not None:
        check_netlist(read)
        assert read == parse_netlist(text, "f", format_name=form)
    if refused is not None:
        assert re.match(r"(f(:\d+){0,2}: )?\S", str(refused))
        assert refused.fix
        lines = text.split("\n")
        assert refused.line is None or 1 <= refused.line <= len(lines)
        if refused.line is not None and refused.column is not None:
            assert 1 <= refused.column <= len(lines[refused.line - 1]) + 1


@given(texts)
def test_any_text_is_read_or_refused(text: str) -> None:
    read_or_refuse(text, None)


@pytest.mark.parametrize("form", TEXT_FORMATS)
@given(text=texts)
def test_any_text_is_read_or_refused_as_a_named_format(form: str, text: str) -> None:
    read_or_refuse(text, form)


@given(boards(), st.data())
def test_a_damaged_netlist_is_read_or_refused(board: Netlist, data: st.DataObject) -> None:
    writer = data.draw(st.sampled_from([as_kicad, as_pin_rows, as_net_rows, as_connections]))
    text = writer(board)
    at = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(at, min(len(text), at + 20)))
    read_or_refuse(text[:at] + data.draw(st.one_of(st.just(""), WORDS)) + text[end:], None)


def facts(netlist: Netlist) -> object:
    return (
        {net.name: net.pins for net in netlist.nets},
        {part.reference: (part.marking, {pin.number for pin in part.pins}) for part in netlist.parts},
    )


@given(boards())
def test_kicad_netlists_come_back(board: Netlist) -> None:
    assert facts(parse_netlist(as_kicad(board), "f")) == facts(board)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@given(board=boards())
def test_tables_with_a_row_a_pin_come_back(separator: str, board: Netlist) -> None:
    assert facts(parse_netlist(as_pin_rows(board, separator), "f", format_name="table")) == facts(board)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@given(board=boards())
def test_tables_with_a_row_a_net_come_back(separator: str, board: Netlist) -> None:
    """They carry no markings."""
    found = parse_netlist(as_net_rows(board, separator), "f", format_name="table")
    assert {net.name: net.pins for net in found.nets} == {net.name: net.pins for net in board.nets}


@given(boards())
def test_tables_of_connections_come_back(board: Netlist) -> None:
    """They carry no names."""
    assert pin_groups(parse_netlist(as_connections(board), "f", format_name="table")) == pin_groups(board)


@given(boards(), st.randoms(use_true_random=False))
def test_order_does_not_matter(board: Netlist, random: Random) -> None:
    """Of rows in a table; of parts, nets and nodes in a netlist."""

    def shuffled(items: Iterable[T]) -> tuple[T, ...]:
        mixed = list(items)
        random.shuffle(mixed)
        return tuple(mixed)

    nets = [replace(net, pins=shuffled(net.pins)) for net in board.nets]
    text = as_kicad(Netlist("board", shuffled(board.parts), shuffled(nets)))
    header, *rows = as_pin_rows(board).rstrip("\n").split("\n")
    table = "\n".join([header, *shuffled(rows)])
    for found in (parse_netlist(text, "f"), parse_netlist(table, "f", format_name="table")):
        assert facts(found) == facts(board)
        assert [p.reference for p in found.parts] == [p.reference for p in board.parts]
        assert [n.name for n in found.nets] == [n.name for n in board.nets]
