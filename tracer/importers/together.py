"""Several files -> one board: those of a name are merged, boards are joined by their cables, markings are told."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path

from tracer.base.errors import UsageError
from tracer.base.visible import visible
from tracer.importers import PinTables, read_netlist
from tracer.netlist.board import Netlist, with_markings
from tracer.netlist.join import join_boards, parse_join
from tracer.netlist.merge import merge_netlists

__all__ = ["named_file", "read_together"]


def named_file(spec: str, number: int, is_joined: bool) -> tuple[str, str]:
    """``NAME=FILE`` -> the name of its board and the file; of a join's files without names A, B, C in their order."""
    name, equals, file = spec.partition("=")
    if not equals or Path(spec).exists():
        name, file = (chr(ord("A") + number) if is_joined else "", spec)
    return visible(name), file


def read_together(
    named: Sequence[tuple[str, str]],
    *,
    joins: Sequence[str] = (),
    markings: Sequence[str] = (),
    format_name: str | None = None,
    encoding: str | None = None,
    spice_pins: PinTables | None = None,
    working: Callable[[str], AbstractContextManager[None]] = lambda _: nullcontext(),
) -> Netlist:
    """Read, merge and join the files of one board.

    Parameters
    ----------
    named : sequence of (str, str)
        The name of its board, and a file; see `named_file`.
    joins : sequence of str
        ``A:J3=B:J1`` each.
    markings : sequence of str
        ``U31=74LS374`` each: what parts are.
    format_name, encoding, spice_pins
        As `tracer.importers.read_netlist` has them.
    working : callable
        Gets what is being done, and is left when that is done.

    Raises
    ------
    NetlistError
        A file cannot be read.
    UsageError
        The boards do not go together, none has a net, or a marking is not understood.
    """
    cables = [parse_join(join) for join in joins]
    boards: dict[str, list[Netlist]] = {}
    for name, file in named:
        with working(f"reading {file}"):
            read = read_netlist(file, format_name=format_name, encoding=encoding, spice_pins=spice_pins)
        boards.setdefault(name, []).append(read)
    merged = {name: merge_netlists(parts) for name, parts in boards.items()}
    if cables:
        netlist = join_boards(merged, cables)
    elif len(merged) == 1:
        netlist = next(iter(merged.values()))
    else:
        raise UsageError(
            f"{len(merged)} boards are named but nothing joins them",
            fix="add --join A:J3=B:J1, or leave the names out",
        )
    if not netlist.nets:
        raise UsageError(
            f"{netlist.name} has parts but no nets",
            fix="give a net list beside the part list; a table needs the columns part, pin, net",
        )
    told = {}
    for words in markings:
        reference, equals, marking = words.partition("=")
        if not equals or not reference or not marking:
            raise UsageError(f"--part {words} is not understood", fix="write --part U31=74LS374")
        told[reference] = visible(marking)
    return with_markings(netlist, told) if told else netlist
