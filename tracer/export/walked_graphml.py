"""The walked circuit as GraphML, by networkx.

Nodes are legs and nets, edges what lies between them, with the attributes part,
kind, ohm, inverts and carries. Characters that XML 1.0 cannot hold become "?".
"""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.text import clean
from tracer.export.values import WalkedEdge
from tracer.export.walked_csv import passing_text

__all__ = ["edges_as_graphml"]


def edges_as_graphml(board: str, edges: Sequence[WalkedEdge]) -> str:
    """The edges as GraphML text."""
    # 90 ms, which the help of the command does not need.
    import networkx as nx

    graph = nx.MultiDiGraph(name=clean(board))
    for edge in edges:
        for node in (edge.source, edge.target):
            graph.add_node(clean(str(node)), kind="net" if node.is_net else "leg")
        facts: dict[str, str | float | bool] = {
            "part": clean(edge.part),
            "kind": edge.kind,
            "inverts": edge.inverts,
            "carries": passing_text(edge),
        }
        if edge.ohm is not None:
            facts["ohm"] = edge.ohm
        graph.add_edge(clean(str(edge.source)), clean(str(edge.target)), **facts)
    return "\n".join(nx.generate_graphml(graph)) + "\n"
