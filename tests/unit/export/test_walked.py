"""The walked circuit for other programs."""

from __future__ import annotations

import csv
import io

import networkx as nx

from tests.stage_boards import traced_stage, weighted
from tracer.export.deck import decks_of
from tracer.export.edges import walked_edges
from tracer.export.spice import decks_as_spice
from tracer.export.values import Node, WalkedEdge
from tracer.export.walked_csv import COLUMNS, edges_as_csv
from tracer.export.walked_graphml import edges_as_graphml
from tracer.importers import read_netlist
from tracer.tracing.pipeline import trace_fully

DUNLIN = "netlists/dunlin/dunlin.net"


def test_every_bit_is_a_way_from_its_memory_leg_to_its_colour_pin() -> None:
    """Read back by networkx, as another program would."""
    traced = trace_fully(read_netlist(DUNLIN))
    graph = nx.parse_graphml(edges_as_graphml("dunlin", walked_edges(traced)))
    whole = graph.to_undirected()
    for colour in traced.bit_map.colours:
        for bit in colour.bits:
            source = bit.paths[0].source
            assert nx.has_path(graph, f"{source.part}.{source.pin}", f"{bit.driver.part}.{bit.driver.pin}")
            assert nx.has_path(whole, f"{source.part}.{source.pin}", f"{colour.pin.part}.{colour.pin.pin}")
    ohms = sorted(d["ohm"] for _, _, d in graph.edges(data=True) if "ohm" in d)
    assert ohms == sorted([220, 470, 1000, 2200] * 3)


def test_edges_as_csv() -> None:
    traced = trace_fully(read_netlist(DUNLIN))
    rows = list(csv.DictReader(io.StringIO(edges_as_csv(walked_edges(traced)))))
    assert tuple(rows[0]) == COLUMNS
    step = next(r for r in rows if (r["from"], r["to"]) == ("U13.18", "U13.19"))
    assert (step["part"], step["kind"], step["carries"], step["inverts"]) == (
        "U13",
        "register",
        "red 3",
        "no",
    )


def test_names_cannot_break_out_of_their_form() -> None:
    edge = WalkedEdge(Node("=U1.1"), Node("\x00\x1b<b>", is_net=True), "U1", "gate", (("red", 0),))
    nx.parse_graphml(edges_as_graphml("a<b>&\x1b", [edge]))
    assert "'=U1.1" in edges_as_csv([edge])
    traced = traced_stage(weighted(470), 1)
    deck = decks_as_spice("name\n.control\nshell rm", decks_of(traced, 75.0))
    assert not any(line.startswith((".control", "shell")) for line in deck.splitlines())


def test_a_deck_has_one_source_a_bit() -> None:
    text = decks_as_spice("x", decks_of(traced_stage(weighted(1000, 470, 220), 3), 75.0))
    assert sum(line.startswith("vred_bit") for line in text.splitlines()) == 3
    assert text.endswith(".end\n")
