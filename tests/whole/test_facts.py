"""Facts are fields: no module computes on the words of a sentence, which somebody may put better one day.

The syntax tree of each module is searched for comparisons of what holds words for people (`text`, `because`, `why`,
`place`, `name` ...) with words in quotes: ``"weak" in fault.text``, ``driven_by.startswith("tied")``. Whoever wants to
know such a fact gives the value a field for it.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

TRACER = Path(__file__).parents[2] / "tracer"
ROOMS = (
    "netlist", "importers", "circuit", "stage", "tracing", "bitmap", "diagram", "beeps", "palette", "export", "levels",
    "suspects", "place", "card", "page", "web",
)  # fmt: skip

#: Names of attributes and variables that hold words for people, or names that people gave.
WORDS = frozenset(
    {
        "because", "does", "driven_by", "error", "label", "line", "message", "name", "names", "place", "reason", "said",
        "sentence", "text", "texts", "title", "what", "why", "words", "means", "caution", "tell", "evidence", "afterwards",
    }
)  # fmt: skip
#: In the room that reads files, texts and lines are the file's; these are still its own words for people.
WORDS_OF_READERS = frozenset({"because", "driven_by", "message", "reason", "said", "what", "why"})


def closed_lists() -> frozenset[str]:
    """The members of every `Literal` in the package: words of closed lists, which the type checker compares."""
    found: set[str] = set()
    for path in TRACER.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Subscript)
                and isinstance(node.value, ast.Name)
                and node.value.id == "Literal"
            ):
                members = (c.value for c in ast.walk(node.slice) if isinstance(c, ast.Constant))
                found |= {member for member in members if isinstance(member, str)}
    return frozenset(found)


CLOSED = closed_lists()
#: Names that stand for a sentence in one value and for a word of a closed list in another.
OF_CLOSED_LISTS = frozenset({"what", "does"})

#: Who may ask what is in a text, and why.
ALLOWED = {
    "netlist/join.py": "reads what is typed behind --join",
    "netlist/net_names.py": "reads names of nets: which a program made",
    "netlist/note_words.py": "writes a form: what needs quotes there",
    "netlist/pins.py": "reads a leg as people write it, U9.11",
    "netlist/rail_names.py": "reads names of nets: supplies and grounds",
    "circuit/beeped.py": "reads markings and names as typed in notes: 20 legs, VCC",
    "tracing/bits.py": "reads names of nets and legs: sync and blanking",
    "tracing/colour_pins.py": "reads names of nets and legs: colours",
    "tracing/module.py": "reads names of nets and legs: bits of colours",
    "tracing/roles.py": "reads names of legs in our own part data, where a slash is an active low",
    "bitmap/older.py": "reads words of maps that earlier versions saved",
    "beeps/answers.py": "reads what a person answers, typed",
    "beeps/note_lines.py": "reads lines of notes: which answer added one",
    "beeps/places.py": "reads places as people write them, 7E",
    "place/make.py": "reads places as people write them, 7E",
    "palette/contents.py": "reads what is typed behind --contents",
    "palette/search.py": "reads a colour as it is typed, #ff8000",
    "suspects/evidence.py": "reads what a person says of a fault, typed or in notes",
    "suspects/screen.py": "reads what a person says of the screen",
    "suspects/told.py": "reads the place of what a person says",
    "card/make.py": "reads names of legs: the main one of several supplies",
    "export/netlists/notes.py": "writes a form: what needs quotes there",
    "export/netlists/orcad.py": "writes a form: what is a comment there",
    "export/netlists/plain_words.py": "writes a form: what is no name there",
    "web/desk.py": "reads names of files, and which sheets a drawing names",
    "web/pack.py": "reads names of files in packages",
    "web/serve.py": "asks which operating system it runs on",
    "export/netlists/table.py": "writes a form: what is a comment there",
}

#: Methods of a text, and of a regular expression, that tell whether words are in it.
OF_A_TEXT = frozenset(
    {
        "startswith",
        "endswith",
        "removeprefix",
        "removesuffix",
        "partition",
        "rpartition",
        "find",
        "count",
        "index",
    }
)
OF_A_PATTERN = frozenset({"match", "fullmatch", "search", "findall", "finditer", "split"})


def found_in(
    tree: ast.AST, watched: frozenset[str] = WORDS, *, variables: bool = True
) -> Iterator[tuple[int, str]]:
    """Line and source of each place that asks whether words are in a text for people."""

    def holds_words(node: ast.AST) -> bool:
        """Whether an expression is such an attribute or variable, or a piece or another writing of it."""
        match node:
            case ast.Attribute(attr=name) if name in watched:
                return True
            case ast.Name(id=name):
                return variables and name in watched
            case ast.Call(func=ast.Attribute(value=inner), args=args):
                return holds_words(inner) or (not isinstance(inner, ast.Name) and any(map(holds_words, args)))
            case ast.Call(func=ast.Name(), args=args):
                return any(map(holds_words, args))
            case ast.Subscript(value=inner):
                return holds_words(inner)
        return False

    for node in ast.walk(tree):
        if isinstance(node, ast.Compare):
            sides = [node.left, *node.comparators]
            # A word of a closed list may be compared as a whole, but not be looked for in a text.
            first = sides[0]
            name = (
                first.attr
                if isinstance(first, ast.Attribute)
                else first.id
                if isinstance(first, ast.Name)
                else ""
            )
            is_closed = name in OF_CLOSED_LISTS
            quoted = _is_open if is_closed else _is_quoted
            if any(map(holds_words, sides)) and any(map(quoted, sides)):
                yield node.lineno, ast.unparse(node)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
            asks = (
                node.func.attr in OF_A_TEXT
                and holds_words(node.func.value)
                and any(map(_is_quoted, node.args))
            )
            if asks or (node.func.attr in OF_A_PATTERN and any(map(holds_words, node.args))):
                yield node.lineno, ast.unparse(node)


def _is_quoted(node: ast.AST) -> bool:
    """Whether an expression is a text in the source that is not empty, or several."""
    if isinstance(node, ast.Constant):
        return isinstance(node.value, str) and node.value != ""
    if isinstance(node, ast.JoinedStr):
        return True
    return isinstance(node, ast.Tuple | ast.Set | ast.List) and any(map(_is_quoted, node.elts))


def _is_open(node: ast.AST) -> bool:
    """Whether it is quoted, and not a word of a closed list or several of them."""
    if isinstance(node, ast.Constant):
        return _is_quoted(node) and node.value not in CLOSED
    if isinstance(node, ast.Tuple | ast.Set | ast.List):
        return any(map(_is_open, node.elts))
    return _is_quoted(node)


def asked() -> dict[str, list[str]]:
    """Module -> where it asks what is in a text."""
    found: dict[str, list[str]] = {}
    for room in ROOMS:
        for path in sorted((TRACER / room).rglob("*.py")):
            module = path.relative_to(TRACER).as_posix()
            tree = ast.parse(path.read_text(encoding="utf-8"))
            is_reader = room == "importers"
            places = found_in(tree, WORDS_OF_READERS if is_reader else WORDS, variables=not is_reader)
            for line, source in places:
                found.setdefault(module, []).append(f"{module}:{line}: {source}")
    return found


def test_nothing_is_computed_from_words_for_people() -> None:
    new = [place for module, places in asked().items() if module not in ALLOWED for place in places]
    assert not new, "give the value a field for this fact:\n" + "\n".join(new)


def test_every_exception_is_needed() -> None:
    assert ALLOWED.keys() <= asked().keys()


@pytest.mark.parametrize(
    "source",
    [
        '"weak" in fault.text',
        'fault.text.endswith("weak")',
        'line.driven_by.startswith(("tied", "pulled"))',
        'because == "not stated"',
        'finding.text.lower() in {"a", "b"}',
        "re.search(pattern, step.why)",
        'place.partition(" to ")',
        'text[:3] == "no "',
        'clean(f.text) != "x"',
        'f"{a} weak" == fault.what',
    ],
)
def test_what_counts_as_computing_from_words(source: str) -> None:
    assert list(found_in(ast.parse(source)))


@pytest.mark.parametrize(
    "source",
    [
        'fault.kind == "weak"',
        'fault.what == "chip"',
        'fault.what in ("joint", "track")',
        'text == ""',
        "a.text == b.text",
        "len(text) > 3",
        'colours["text"] == "red"',
    ],
)
def test_what_does_not(source: str) -> None:
    assert not list(found_in(ast.parse(source)))


#: The words with which programs begin the names that they make.
MADE = ("Net-(", "net-(", "unconnected", "N$", "unnamed_net", "NNAME")
#: Readers and writers of forms, which know what their program makes, and the one place for all others.
MAKERS = ("netlist/net_names.py", "importers/", "export/netlists/")


def test_what_a_made_name_looks_like_is_known_in_one_place() -> None:
    """All others ask `Net.is_named` or `Net.given_name`."""
    found = []
    for path in sorted(TRACER.rglob("*.py")):
        module = path.relative_to(TRACER).as_posix()
        if module.startswith(MAKERS):
            continue
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.startswith(MADE):
                found.append(f"{module}:{node.lineno}: {node.value[:40]!r}")
    assert found == []
