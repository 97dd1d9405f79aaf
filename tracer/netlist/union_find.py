"""Sets that grow together: disjoint-set forest with path halving (Tarjan and van Leeuwen 1984; textbook)."""

from __future__ import annotations

from collections.abc import Hashable

__all__ = ["UnionFind"]


class UnionFind:
    """Joins things and tells which are joined. A thing is known from its first mention."""

    def __init__(self) -> None:
        self._parent: dict[Hashable, Hashable] = {}

    def find(self, item: Hashable) -> Hashable:
        """The one that stands for all that `item` is joined with."""
        parent = self._parent
        if item not in parent:
            parent[item] = item
            return item
        while parent[item] != item:
            parent[item] = parent[parent[item]]
            item = parent[item]
        return item

    def union(self, a: Hashable, b: Hashable) -> None:
        """Join two things and all that is joined with either."""
        root_a, root_b = self.find(a), self.find(b)
        if root_a != root_b:
            self._parent[root_b] = root_a
