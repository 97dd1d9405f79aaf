"""Disjoint sets."""

from __future__ import annotations

from tracer.netlist.union_find import UnionFind


def test_joined_is_joined_whatever_the_order() -> None:
    joined = UnionFind()
    for a, b in ((1, 2), (3, 4), (5, 6), (4, 5), (2, 2)):
        joined.union(a, b)
    groups: dict[object, list[int]] = {}
    for item in range(8):
        groups.setdefault(joined.find(item), []).append(item)
    assert sorted(groups.values()) == [[0], [1, 2], [3, 4, 5, 6], [7]]


def test_a_long_chain_needs_no_recursion() -> None:
    joined = UnionFind()
    for item in range(100_000):
        joined.union(item + 1, item)
    assert joined.find(0) == joined.find(100_000)
