"""A JSON form described once, as a table: from it a value is written and read back, and its JSON Schema is told.

A `Record` is a table of `Key` rows, one a key of an object, in the order in which they are written; the other forms say
what stands behind a key. A `Document` is the record of a whole text, with its format and version in front.

What is read may come from anyone. Texts and numbers have limits, characters that no reader sees become escapes, and what
is wrong is said with its place (``map.colours.red.bits[0].weight``). Keys that a table does not have are passed over.
"""

from __future__ import annotations

import json
import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from tracer.base.errors import MapError
from tracer.base.visible import visible

__all__ = ["ByName", "Count", "Document", "Flag", "Form", "Group", "Key", "ListOf", "Number", "OrNone", "Record", "Text", "Whole", "Word"]  # fmt: skip

#: Letters of one text, and size of one number, in what is read.
LONGEST_TEXT = 1 << 16
LARGEST_NUMBER = 1e18

Schema = dict[str, Any]


class _WrongError(Exception):
    """What is wrong with a text that is read: place and sentence."""

    def __init__(self, at: str, what: str) -> None:
        super().__init__(f"{at}: {what}")


def _typed(tree: Any, at: str, *types: type) -> Any:
    """What was read, seen to be of a type; yes and no are no numbers."""
    if not isinstance(tree, types) or (isinstance(tree, bool) and bool not in types):
        raise _WrongError(at, f"is of the wrong type ({type(tree).__name__})")
    return tree


class Form(ABC):
    """How one kind of value stands in JSON."""

    def _write(self, value: Any) -> Any:
        """The value as dicts, lists, texts and numbers."""
        return value

    @abstractmethod
    def _read(self, tree: Any, at: str) -> Any:
        """The value again."""

    @abstractmethod
    def _schema(self) -> Schema:
        """What JSON Schema says of it."""


@dataclass(frozen=True, slots=True)
class Text(Form):
    """A text; `pattern` tells all of it, `filled` that it is not empty."""

    pattern: str = ""
    filled: bool = False

    def _read(self, tree: Any, at: str) -> str:
        text: str = _typed(tree, at, str)
        if len(text) > LONGEST_TEXT:
            raise _WrongError(at, f"has {len(text):,} letters; up to {LONGEST_TEXT:,} are read")
        if self.filled and not text:
            raise _WrongError(at, "is empty")
        if self.pattern and not re.fullmatch(self.pattern, text):
            raise _WrongError(at, f"{text!r} is not of the form {self.pattern}")
        return visible(text)

    def _schema(self) -> Schema:
        pattern = {"pattern": f"^{self.pattern}$"} if self.pattern else {}
        return {"type": "string", **pattern, **({"minLength": 1} if self.filled else {})}


@dataclass(frozen=True, slots=True)
class Word(Form):
    """One of a few words."""

    words: tuple[str, ...]

    def _read(self, tree: Any, at: str) -> str:
        word = Text()._read(tree, at)
        if word not in self.words:
            raise _WrongError(at, f"{word!r} is none of {', '.join(self.words)}")
        return word

    def _schema(self) -> Schema:
        return {"enum": list(self.words)}


class Flag(Form):
    """Yes or no."""

    def _read(self, tree: Any, at: str) -> bool:
        return bool(_typed(tree, at, bool))

    def _schema(self) -> Schema:
        return {"type": "boolean"}


@dataclass(frozen=True, slots=True)
class Number(Form):
    """A number from `least` to `most`, greater than `above`.

    It is written with so many `decimals` at most, and a whole one without a point where it is `plain`.
    """

    least: float | None = None
    most: float | None = None
    above: float | None = None
    decimals: int | None = None
    plain: bool = False

    def _write(self, value: float) -> float | int:
        if self.decimals is not None:
            # Minus zero is written as zero.
            value = round(value, self.decimals) + 0.0
        return int(value) if self.plain and value == int(value) else value

    def _read(self, tree: Any, at: str) -> float:
        return float(self._in_range(_typed(tree, at, int, float), at))

    def _in_range(self, number: Any, at: str) -> Any:
        # Said this way round, what is no number at all (NaN) does not pass.
        if not abs(number) <= LARGEST_NUMBER:
            raise _WrongError(at, f"is no number up to {LARGEST_NUMBER:.0e}")
        least = self.above if self.least is None else self.least
        if least is not None and number < least:
            raise _WrongError(at, f"is below {least}")
        if self.most is not None and number > self.most:
            raise _WrongError(at, f"is above {self.most}")
        if number == self.above:
            raise _WrongError(at, f"is {number:g}; more is expected")
        return number

    def _schema(self) -> Schema:
        ends = {"minimum": self.least, "maximum": self.most, "exclusiveMinimum": self.above}
        return {"type": "number", **{key: end for key, end in ends.items() if end is not None}}


class Count(Number):
    """A whole number from 0 to `most`."""

    def __init__(self, most: int | None = None) -> None:
        super().__init__(0, most)

    def _read(self, tree: Any, at: str) -> int:
        return int(self._in_range(_typed(tree, at, int), at))

    def _schema(self) -> Schema:
        return {**super()._schema(), "type": "integer"}


@dataclass(frozen=True, slots=True)
class OrNone(Form):
    """What may be missing: null, for None."""

    form: Form

    def _write(self, value: Any) -> Any:
        return None if value is None else self.form._write(value)

    def _read(self, tree: Any, at: str) -> Any:
        return None if tree is None else self.form._read(tree, at)

    def _schema(self) -> Schema:
        known = self.form._schema()
        if "enum" in known:
            return {"enum": [*known["enum"], None]}
        if "title" in known:
            return {"anyOf": [known, {"type": "null"}]}
        return {**known, "type": [known["type"], "null"]}


@dataclass(frozen=True, slots=True)
class ListOf(Form):
    """A tuple of values of one form, `least` to `most` of them."""

    form: Form
    least: int = 0
    most: int | None = None

    def _write(self, value: Any) -> list[Any]:
        return [self.form._write(item) for item in value]

    def _read(self, tree: Any, at: str) -> tuple[Any, ...]:
        items: list[Any] = _typed(tree, at, list)
        if len(items) < self.least or (self.most is not None and len(items) > self.most):
            raise _WrongError(at, f"holds {len(items)} items")
        return tuple(self.form._read(item, f"{at}[{i}]") for i, item in enumerate(items))

    def _schema(self) -> Schema:
        least = {"minItems": self.least} if self.least else {}
        most = {} if self.most is None else {"maxItems": self.most}
        return {"type": "array", **least, **most, "items": self.form._schema()}


@dataclass(frozen=True, slots=True)
class ByName(Form):
    """Values under their names, as an object: pairs of a name and a value; or records that know it as their `own`.

    `names` is the pattern of the names.
    """

    form: Form
    own: str = ""
    names: str = ""

    def _write(self, value: Any) -> dict[str, Any]:
        pairs = ((getattr(item, self.own), item) for item in value) if self.own else value
        return {name: self.form._write(item) for name, item in pairs}

    def _read(self, tree: Any, at: str) -> tuple[Any, ...]:
        return tuple(self._items(_typed(tree, at, dict), at))

    def _items(self, tree: dict[str, Any], at: str) -> Iterator[Any]:
        for key, item in tree.items():
            name = Text(self.names)._read(key, at)
            here = f"{at}.{name}"
            if isinstance(self.form, Record) and self.own:
                yield self.form._read(item, here, {self.own: name})
            else:
                yield name, self.form._read(item, here)

    def _schema(self) -> Schema:
        names = {"propertyNames": {"pattern": f"^{self.names}$"}} if self.names else {}
        return {"type": "object", **names, "additionalProperties": self.form._schema()}


@dataclass(frozen=True, slots=True)
class Key:
    """One key of an object.

    Attributes
    ----------
    name : str
    form : Form
    what : str
        One sentence for the schema.
    of : str or callable
        The attribute that stands there, the key's own name when left out; or a function of the value, for what
        follows from its attributes: that is written, and not taken back.
    told_twice : bool
        Whether what follows must be the same when it is read.
    optional : bool
        Whether the key is left out for None.
    """

    name: str
    form: Form
    what: str = ""
    of: str | Callable[[Any], Any] = ""
    told_twice: bool = False
    optional: bool = False

    def _stands(self, value: Any) -> Any:
        """What stands there, before it is written; the group of keys is of the value itself."""
        if isinstance(self.form, Group):
            return value
        return self.of(value) if callable(self.of) else getattr(value, self.of or self.name)


class Record(Form):
    """An object: a table of keys, and the type that is made of the attributes in it.

    The type gives the record its name in the schema; what is written only may have a name alone. `rules` is what the
    schema says besides.
    """

    def __init__(self, make: type | str, *keys: Key, rules: Schema | None = None) -> None:
        self.make, self.keys, self.rules = make, keys, rules or {}

    def _write(self, value: Any) -> dict[str, Any]:
        stand = ((key, key._stands(value)) for key in self.keys)
        return {key.name: key.form._write(it) for key, it in stand if it is not None or not key.optional}

    def _read(self, tree: Any, at: str, known: dict[str, Any] | None = None) -> Any:
        """The value; `known` are attributes that do not stand in the object."""
        assert callable(self.make)
        facts = self._attributes(tree, at) | (known or {})
        try:
            value = self.make(**facts)
        except ValueError as error:
            raise _WrongError(at, str(error)) from None
        for key in self.keys:
            if key.told_twice and tree[key.name] != key._stands(value):
                raise _WrongError(f"{at}.{key.name}", f"{tree[key.name]!r} contradicts what stands beside it")
        return value

    def _attributes(self, tree: Any, at: str) -> dict[str, Any]:
        if not isinstance(tree, dict):
            raise _WrongError(at, "an object was expected")
        found: dict[str, Any] = {}
        for key in self.keys:
            here = f"{at}.{key.name}"
            if key.name not in tree:
                raise _WrongError(here, "is missing")
            if isinstance(key.form, Group):
                found |= key.form._attributes(tree[key.name], here)
                continue
            value = key.form._read(tree[key.name], here)
            if not callable(key.of):
                found[key.of or key.name] = value
        return found

    def _schema(self) -> Schema:
        return {
            "title": self.make if isinstance(self.make, str) else self.make.__name__,
            "type": "object",
            "required": [key.name for key in self.keys if not key.optional],
            "additionalProperties": False,
            "properties": {
                key.name: {**({"description": key.what} if key.what else {}), **key.form._schema()}
                for key in self.keys
            },
            **self.rules,
        }


class Group(Record):
    """An object that holds some attributes of the value in whose record it stands."""

    def __init__(self, *keys: Key) -> None:
        super().__init__("", *keys)

    def _schema(self) -> Schema:
        return {key: said for key, said in super()._schema().items() if key != "title"}


@dataclass(frozen=True, slots=True)
class Document:
    """A whole JSON text.

    Attributes
    ----------
    name : str
        The format is ``rgbroots-`` and this.
    what : str
        One sentence for the schema.
    record : Record
        The keys after format and version.
    indent : int
        Blanks a level.
    """

    name: str
    what: str
    record: Record
    indent: int = 1
    version: int = 1

    @property
    def format(self) -> str:
        """Name of the format."""
        return f"rgbroots-{self.name}"

    def data(self, value: Any) -> dict[str, Any]:
        """A value as dicts, lists, texts and numbers."""
        return {"format": self.format, "version": self.version, **self.record._write(value)}

    def text(self, value: Any) -> str:
        """A value as JSON text; the same value gives the same bytes."""
        return json.dumps(self.data(value), indent=self.indent, ensure_ascii=False) + "\n"

    def read(self, tree: Any, file: str) -> Any:
        """The value again, from what `json.loads` gives; its format and version are seen to already.

        Raises
        ------
        MapError
            A key is missing, or what stands behind one is not what the table says.
        """
        try:
            return self.record._read(tree, self.name)
        except _WrongError as error:
            fix = "save the map again; it was changed by hand or cut short"
            raise MapError(str(error), file=file, fix=fix) from None

    def schema(self) -> Schema:
        """The JSON Schema (2020-12) of the text."""
        about = {
            "$schema": "https://json-schema.org/draft/2020-12/schema",
            "$id": f"urn:rgbroots:{self.name}:{self.version}",
            "title": f"rgbroots {self.name}, version {self.version}",
            "description": self.what,
        }
        head = {"format": {"const": self.format}, "version": {"const": self.version}}
        defs: Schema = {}
        whole = self.record._schema()
        whole["required"] = [*head, *whole["required"]]
        whole["properties"] = {**head, **_with_references(whole["properties"], defs)}
        return {**about, **whole, **about, "$defs": defs}


@dataclass(frozen=True, slots=True)
class Whole(Form):
    """Another document, whole, with its format and version."""

    document: Document

    def _write(self, value: Any) -> dict[str, Any]:
        return self.document.data(value)

    def _read(self, tree: Any, at: str) -> Any:
        return self.document.record._read(tree, at)

    def _schema(self) -> Schema:
        return {"type": "object", "description": f"A whole text of the format {self.document.format}."}


def _with_references(schema: Any, defs: Schema) -> Any:
    """A schema in which records stand by name; they themselves are put into `defs`."""
    if isinstance(schema, list):
        return [_with_references(item, defs) for item in schema]
    if not isinstance(schema, dict):
        return schema
    found = {key: _with_references(said, defs) for key, said in schema.items()}
    if not isinstance(found.get("title"), str):
        return found
    name = found.pop("title")
    about = {"description": found.pop("description")} if "description" in found else {}
    defs[name] = found
    return {**about, "$ref": f"#/$defs/{name}"}
