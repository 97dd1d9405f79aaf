"""KiCad's own view of a drawing: its netlist, cleaned of the writing machine, and the same as a table."""

from __future__ import annotations

import csv
import io
import re
import subprocess
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.drawing.design import Project

__all__ = ["DrawingError", "Exported", "check", "export", "pin_table", "read_net", "run_kicad"]

_TOKEN = re.compile(r'"((?:[^"\\]|\\.)*)"|([()])|([^\s()"]+)')
_SOURCE = re.compile(r'\(source "[^"]*?([^/"]*)"\)')
_DATE = re.compile(r'\(date "[^"]*"\)')
_SHEET_FILE = re.compile(r'\(name "Sheetfile"\) \(value "[^"]*?([^/"]*)"\)')
_URI = re.compile(r'\(uri "[^"]*?([^/"]*)"\)')

Tree = list["Tree | str"]


class DrawingError(Exception):
    """The drawing is not what was meant."""


@dataclass(frozen=True)
class Exported:
    """A netlist as KiCad wrote it.

    Attributes
    ----------
    parts : dict
        Reference -> (value, place).
    names : dict
        (reference, pin) -> pin name.
    nets : dict
        Net name -> pins as ``REF.number``, in KiCad's order.
    """

    parts: Mapping[str, tuple[str, str]]
    names: Mapping[tuple[str, str], str]
    nets: Mapping[str, tuple[str, ...]]


def run_kicad(command: str, *arguments: str) -> str:
    """Run KiCad's command line program; gives what it printed."""
    done = subprocess.run([command, *arguments], capture_output=True, text=True, check=False)
    if done.returncode:
        raise DrawingError(f"{command} {' '.join(arguments)}: {done.stderr or done.stdout}")
    return done.stdout


def export(command: str, project: Project, files: Mapping[str, str], work: Path) -> str:
    """The netlist that KiCad makes of the files, without path and date.

    Parameters
    ----------
    command : str
        KiCad's command line program.
    work : Path
        An existing directory that this program can read and write.
    """
    with tempfile.TemporaryDirectory(dir=work) as name:
        folder = Path(name)
        folder.chmod(0o755)
        for file, text in files.items():
            (folder / file).write_text(text, encoding="utf-8")
        out = folder / "out.net"
        root = folder / f"{project.name}.kicad_sch"
        run_kicad(command, "sch", "export", "netlist", "-o", str(out), str(root))
        text = out.read_text(encoding="utf-8")
    for pattern in (_SOURCE, _SHEET_FILE, _URI):
        text = pattern.sub(_only_file_name, text)
    return _DATE.sub('(date "")', text)


def _only_file_name(match: re.Match[str]) -> str:
    return f'{match[0][: match.start(1) - match.start()].rpartition(chr(34))[0]}"{match[1]}")'


def _tree(text: str) -> Tree:
    stack: list[Tree] = [[]]
    for match in _TOKEN.finditer(text):
        quoted, bracket, bare = match.groups()
        if bracket == "(":
            stack.append([])
        elif bracket == ")":
            done = stack.pop()
            stack[-1].append(done)
        else:
            stack[-1].append(bare if quoted is None else quoted.replace('\\"', '"').replace("\\\\", "\\"))
    only = stack[0][0]
    if not isinstance(only, list):
        raise DrawingError("no expression in the netlist")
    return only


def _children(tree: Tree, head: str) -> list[Tree]:
    return [x for x in tree if isinstance(x, list) and x and x[0] == head]


def _value(tree: Tree, head: str) -> str:
    found = _children(tree, head)
    return str(found[0][1]) if found and len(found[0]) > 1 else ""


def read_net(text: str) -> Exported:
    """Read KiCad's netlist; a reader of its own, so that the program's importer can be checked against it."""
    tree = _tree(text)
    library: dict[tuple[str, str], dict[str, str]] = {}
    for part in _children(_children(tree, "libparts")[0], "libpart"):
        pins = _children(_children(part, "pins")[0], "pin")
        library[_value(part, "lib"), _value(part, "part")] = {
            _value(p, "num"): _value(p, "name") for p in pins
        }
    parts: dict[str, tuple[str, str]] = {}
    names: dict[tuple[str, str], str] = {}
    for comp in _children(_children(tree, "components")[0], "comp"):
        reference = _value(comp, "ref")
        fields = {
            _value(f, "name"): str(f[2]) if len(f) > 2 else ""
            for group in _children(comp, "fields")
            for f in _children(group, "field")
        }
        parts[reference] = (_value(comp, "value"), fields.get("Place", ""))
        source = _children(comp, "libsource")[0]
        for number, name in library[_value(source, "lib"), _value(source, "part")].items():
            names[reference, number] = "" if name == "~" else name
    nets = {
        _value(net, "name"): tuple(f"{_value(n, 'ref')}.{_value(n, 'pin')}" for n in _children(net, "node"))
        for net in _children(_children(tree, "nets")[0], "net")
    }
    return Exported(parts, names, nets)


def check(project: Project, exported: Exported) -> None:
    """Compare KiCad's netlist with the design.

    Raises
    ------
    DrawingError
        A part, value, place or connection differs; names the first few.
    """
    wrong: list[str] = []
    meant_parts = {r: (p.value, dict(p.fields).get("Place", "")) for r, p in project.parts.items()}
    for reference in sorted(meant_parts.keys() | exported.parts.keys()):
        if meant_parts.get(reference) != exported.parts.get(reference):
            wrong.append(
                f"{reference}: meant {meant_parts.get(reference)}, drawn {exported.parts.get(reference)}"
            )
    meant = {pins: name for name, pins in project.groups.items()}
    drawn = {frozenset(pins): name for name, pins in exported.nets.items()}
    wrong += [f"meant as {meant[pins]}: {sorted(pins)}" for pins in meant.keys() - drawn.keys()]
    wrong += [f"drawn as {drawn[pins]}: {sorted(pins)}" for pins in drawn.keys() - meant.keys()]
    if wrong:
        raise DrawingError(f"{project.name}: {len(wrong)} differences\n" + "\n".join(sorted(wrong)[:40]))


def pin_table(exported: Exported) -> str:
    """One row a pin: ``part,marking,place,pin,name,net``, in the order of KiCad's parts and legs."""
    nets = {pin: name for name, pins in exported.nets.items() for pin in pins}
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["part", "marking", "place", "pin", "name", "net"])
    for (reference, number), name in exported.names.items():
        marking, place = exported.parts[reference]
        writer.writerow([reference, marking, place, number, name, nets[f"{reference}.{number}"]])
    return out.getvalue()
