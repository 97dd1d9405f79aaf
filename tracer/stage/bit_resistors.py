"""Ways through an output stage: which resistors belong to one bit alone, and what a bit passes besides."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from tracer.stage.model import Stage

if TYPE_CHECKING:
    import networkx as nx

__all__ = ["StagePaths"]


class StagePaths:
    """The way of least resistance from each driver to the colour pin."""

    def __init__(self, stage: Stage) -> None:
        # 90 ms, which a saved map and the help of a command do not need.
        import networkx as nx

        self.stage = stage
        self.graph: nx.MultiGraph[str] = nx.MultiGraph()
        self.transistors = {q.part for q in stage.network.transistors}
        barred = set(stage.fixed)
        for r in stage.network.resistors:
            if r.a not in barred and r.b not in barred:
                self.graph.add_edge(r.a, r.b, ohm=r.ohm, resistor=r)
        for q in stage.network.transistors:
            for other in (q.emitter, q.collector):
                if other not in barred and q.base not in barred:
                    self.graph.add_edge(q.base, other, ohm=1.0, through=q.part)
            if q.emitter not in barred and q.collector not in barred:
                self.graph.add_edge(q.emitter, q.collector, ohm=1.0, through=q.part)
        for d in stage.network.diodes:
            self.graph.add_edge(d.anode, d.cathode, ohm=10.0, through=d.part)
        for a in stage.network.amplifiers:
            for enters in (a.plus, a.minus):
                if enters != a.out and enters not in barred:
                    self.graph.add_edge(enters, a.out, ohm=1.0, through=a.part)

    def nodes(self, net: str, barred: list[str]) -> list[str]:
        """Nodes from the driver to the colour pin; empty when there is no way."""
        import networkx as nx  # As above.

        out, start = self.stage.node(self.stage.start), self.stage.node(net)
        closed = {self.stage.node(b) for b in barred} - {out, start}
        view = nx.restricted_view(self.graph, [n for n in closed if n in self.graph], [])
        if start == out or start not in view or out not in view:
            return []
        try:
            found: list[str] = nx.dijkstra_path(view, start, out, weight="ohm")
        except nx.NetworkXNoPath:
            return []
        return found

    def first(self, net: str) -> str:
        """The part by which the way of a driver begins; empty when there is no way."""
        way = self.nodes(net, [])
        if len(way) < 2:
            return ""
        edge = min(self.graph.get_edge_data(way[0], way[1]).values(), key=lambda e: e["ohm"])
        found: str = edge["resistor"].part if "resistor" in edge else edge["through"]
        return found

    def own(self, net: str, others: list[str]) -> tuple[tuple[tuple[str, float], ...], tuple[str, ...]]:
        """Resistors that only this driver's way passes, and what it passes besides."""
        way = self.nodes(net, others)
        shared = {
            node for other in others for node in self.nodes(other, [net, *(o for o in others if o != other)])
        }
        resistors: list[tuple[str, float]] = []
        through: list[str] = []
        # Resistors before a transistor of the bit's own only switch it; those behind it weigh the bit.
        before_transistor: list[tuple[str, float]] = []
        alone = True
        for a, b in pairwise(way):
            alone = alone and a not in shared
            for edge in self.graph.get_edge_data(a, b).values():
                resistor = edge.get("resistor")
                if resistor is not None and alone:
                    resistors.append((resistor.part, resistor.ohm))
                elif resistor is None:
                    through.append(edge["through"])
                    if alone and edge["through"] in self.transistors:
                        before_transistor, resistors = before_transistor + resistors, []
        # The largest weighs the bit; what stands in series with it damps or protects.
        for group in (resistors, before_transistor):
            group.sort(key=lambda r: -r[1])
        return (*resistors, *before_transistor), tuple(dict.fromkeys(through))
