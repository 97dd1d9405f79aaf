"""What the folder for the browser is made of: names, versions and hashes, from ``pinned.toml``, whose head says the rest."""

from __future__ import annotations

import base64
import binascii
import re
from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from tracer.base.errors import EmitError
from tracer.base.toml_errors import BadToml, TomlPlaces, load_toml

__all__ = ["Held", "NpmPackage", "Pinned", "Wheel", "load_pinned"]

_FILE = "pinned.toml"


@dataclass(frozen=True, slots=True)
class Held:
    """What another program carries in itself: its name, its licence (a file of ``licences/``), its copyright line."""

    name: str
    licence: str
    copyright: str = ""


@dataclass(frozen=True, slots=True)
class NpmPackage:
    """A package of npm.

    Attributes
    ----------
    sha512 : str
        Of the tarball, in base64, as npm's ``dist.integrity`` gives it behind ``sha512-``.
    licence : str
        SPDX identifier.
    files : tuple of str
        Those that are taken, by their path in the package.
    holds : tuple of Held
        What the package carries of others.
    """

    name: str
    version: str
    sha512: str
    licence: str
    files: tuple[str, ...]
    holds: tuple[Held, ...] = ()
    copyright: str = ""


@dataclass(frozen=True, slots=True)
class Wheel:
    """A wheel of the Python package index: `file` is its name there, `sha256` its hash in hexadecimal digits."""

    name: str
    version: str
    file: str
    sha256: str
    licence: str


@dataclass(frozen=True, slots=True)
class Pinned:
    """All of it, in the order of the file."""

    npm: tuple[NpmPackage, ...]
    wheels: tuple[Wheel, ...]

    def package(self, name: str) -> NpmPackage:
        """The package of npm with this name."""
        return next(package for package in self.npm if package.name == name)


def load_pinned(text: str | None = None, file: str = _FILE) -> Pinned:
    """What stands in `text`, else in the program's own file.

    Raises
    ------
    EmitError
        It is no TOML, lacks something, or has a value that cannot be one; with the line.
    """
    if text is None:
        text = (files("tracer.web") / _FILE).read_text(encoding="utf-8")
    try:
        tables = load_toml(text)
    except BadToml as error:
        raise EmitError(
            f"this line is not in the form of TOML: {error.what}",
            file=file,
            line=error.line,
            column=error.column,
            fix="write it as the tables beside it are written",
        ) from None
    reader = _Reader(file, TomlPlaces(text))
    npm: list[NpmPackage] = []
    wheels: list[Wheel] = []
    for name, table in tables.items():
        if not isinstance(table, dict):
            raise reader.wrong(name, "", f"{name} stands outside of any table")
        kind = reader.text(name, table, "kind", lambda kind: kind in ("npm", "wheel"), '"npm" or "wheel"')
        reader.refuse_others(name, table, NpmPackage if kind == "npm" else Wheel)
        if kind == "npm":
            npm.append(reader.npm(name, table))
        else:
            wheels.append(reader.wheel(name, table))
    return Pinned(tuple(npm), tuple(wheels))


@dataclass(frozen=True, slots=True)
class _Reader:
    """Takes values from a table, and knows where each stands."""

    file: str
    places: TomlPlaces

    def wrong(
        self, table: str, key: str, what: str, fix: str = "write it as in the tables beside it"
    ) -> EmitError:
        return EmitError(what, file=self.file, line=self.places.line(table, key), fix=fix)

    def text(
        self, name: str, table: dict[str, Any], key: str, holds: Callable[[str], bool], form: str
    ) -> str:
        value = table.get(key)
        if not isinstance(value, str) or not holds(value):
            said = f"has no {key}" if value is None else f"{key} = {value!r} is not {form}"
            raise self.wrong(name, key, f"[{name}] {said}", f"write {key} as {form}")
        return value

    def refuse_others(self, name: str, table: dict[str, Any], kind: type[NpmPackage] | type[Wheel]) -> None:
        known = {"kind", *kind.__dataclass_fields__} - {"name"}
        for key in table:
            if key not in known:
                raise self.wrong(
                    name,
                    key,
                    f"[{name}] has a key {key}, which nothing reads",
                    f"its keys are: {', '.join(sorted(known))}",
                )

    def npm(self, name: str, table: dict[str, Any]) -> NpmPackage:
        taken = table.get("files")
        if not isinstance(taken, list) or not taken or not all(isinstance(f, str) and f for f in taken):
            raise self.wrong(
                name, "files", f"[{name}] names no files that are taken", 'write files = ["..."]'
            )
        holds = []
        for number, held in enumerate(table.get("holds", ())):
            try:
                holds.append(Held(**held))
            except TypeError:
                line = self.places.line(name, "holds", number)
                raise EmitError(
                    f"[{name}] holds something without a name or licence",
                    file=self.file,
                    line=line,
                    fix='write { name = "...", licence = "..." }',
                ) from None
        return NpmPackage(
            name=name,
            version=self.text(name, table, "version", _is_version, "a version like 1.2.3"),
            sha512=self.text(name, table, "sha512", _is_sha512, "64 bytes in base64"),
            licence=self.text(name, table, "licence", bool, "the name of a licence"),
            files=tuple(taken),
            holds=tuple(holds),
            copyright=str(table.get("copyright", "")),
        )

    def wheel(self, name: str, table: dict[str, Any]) -> Wheel:
        return Wheel(
            name=name,
            version=self.text(name, table, "version", _is_version, "a version like 1.2.3"),
            file=self.text(name, table, "file", _is_wheel, "the name of a wheel"),
            sha256=self.text(name, table, "sha256", _is_sha256, "64 hexadecimal digits"),
            licence=self.text(name, table, "licence", bool, "the name of a licence"),
        )


def _is_version(value: str) -> bool:
    return re.fullmatch(r"\d+(\.\d+)*", value) is not None


def _is_wheel(value: str) -> bool:
    return re.fullmatch(r"[\w.]+-[\w.]+-[\w.]+-[\w.]+-[\w.]+\.whl", value) is not None


def _is_sha256(value: str) -> bool:
    return re.fullmatch(r"[0-9a-f]{64}", value) is not None


def _is_sha512(value: str) -> bool:
    try:
        return len(base64.b64decode(value, validate=True)) == 64
    except binascii.Error:
        return False
