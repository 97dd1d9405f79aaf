"""Builds the folder of static files: fetched, packed, put together, and put in place when all of it is there."""

from __future__ import annotations

import base64
import gzip
import hashlib
import json
import re
import shutil
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from tracer.base.errors import EmitError
from tracer.base.own_version import own_version
from tracer.base.write import make_folder
from tracer.page.html import script_hash
from tracer.web.fetch import checkout, fetch_npm, fetch_wheels, make_own_wheel, source_of
from tracer.web.folder import MANIFEST, Manifest, read_manifest
from tracer.web.pack import Packed, pack
from tracer.web.pinned import NpmPackage, Pinned, load_pinned
from tracer.web.policy import page_policy

__all__ = ["Built", "BuiltFile", "build"]

#: The same bytes whenever it is built; browsers open it by DecompressionStream("gzip").
_GZIP_LEVEL = 9
#: Of the assets, those that are copied as they are.
_COPIED = (".js", ".webmanifest", ".svg")
#: Letters of the build's hash: enough that no two builds of anyone are taken for one another.
_HASH_LETTERS = 16
_WORKER = "sw.js.jinja"
_RUNTIME, _GRAPHVIZ = "pyodide", "@viz-js/viz"


@dataclass(frozen=True, slots=True)
class BuiltFile:
    """A file of the folder: its path there, its bytes, and its bytes as servers send it, compressed by gzip."""

    name: str
    size: int
    compressed: int


@dataclass(frozen=True, slots=True)
class Built:
    """What was built: the hash that names the build, and its files, the largest download first."""

    build: str
    files: tuple[BuiltFile, ...]

    @property
    def size(self) -> int:
        """Bytes of all files."""
        return sum(file.size for file in self.files)

    @property
    def compressed(self) -> int:
        """Bytes that are downloaded, where the server compresses."""
        return sum(file.compressed for file in self.files)


def build(folder: Path, say: Callable[[str], None] = lambda _: None) -> Built:
    """Build the folder, in place of an earlier build if there is one.

    Parameters
    ----------
    folder : Path
        Made if it is not there.
    say : callable
        Told what begins, before each step that takes longer than a second.

    Raises
    ------
    EmitError
        The folder holds other files, something is not to be had or is not what was pinned, or nothing can be written
        there; what stood there is as it was.
    """
    _refuse_others(folder)
    source = checkout()
    # What cannot be written is said before all is fetched.
    make_folder(folder.resolve().parent)
    with tempfile.TemporaryDirectory(prefix="rgbroots-") as name:
        made = _files(load_pinned(), source, Path(name), say)
    say("putting it in place")
    made["index.html"] = _render("index.html.jinja", policy=_policy(), version=own_version() or "")
    build = _hash(made)
    made["sw.js"] = _render(
        _WORKER,
        build=build,
        files=Markup(json.dumps(["./", *sorted(made)])),
        policy=Markup(json.dumps(_policy())),
    )
    manifest = Manifest(build, _policy(), tuple(sorted(made)))
    _put_in_place(folder, {**made, MANIFEST: manifest.as_json().encode("utf-8")})
    sizes = [BuiltFile(name, len(data), len(_gzip(data))) for name, data in made.items()]
    return Built(build, tuple(sorted(sizes, key=lambda file: (-file.compressed, file.name))))


def _files(pinned: Pinned, source: Path, work: Path, say: Callable[[str], None]) -> dict[str, bytes]:
    """All files whose content does not depend on the build's hash."""
    say("fetching the runtime and Graphviz")
    npm = {package.name: fetch_npm(package, _new(work / f"npm-{n}")) for n, package in enumerate(pinned.npm)}
    say("fetching the packages")
    paths = fetch_wheels(pinned.wheels, _new(work / "wheels"))
    wheels = {wheel.name: path for wheel, path in zip(pinned.wheels, paths, strict=True)}
    say("making our own wheel")
    own = make_own_wheel(source, _new(work / "own"))
    runtime = npm[_RUNTIME]
    for file, data in runtime.items():
        (_new(work / "runtime") / file).write_bytes(data)
    say("compiling and packing")
    packed = pack(wheels, own, work / "runtime", _new(work / "packed"))
    say("compressing")
    page = files("tracer.page") / "assets"
    assets = files("tracer.web") / "assets"
    made = {file.name: file.read_bytes() for file in assets.iterdir() if file.name.endswith(_COPIED)}
    return made | {
        "style.css": page.joinpath("page.css").read_bytes() + assets.joinpath("shell.css").read_bytes(),
        "chips.js": _chips(page.joinpath("chip.js")).encode("utf-8"),
        "fit.js": page.joinpath("fit.js").read_bytes() + b"export { fit };\n",
        "licences.txt": _licences(pinned, npm, packed).encode("utf-8"),
        "runtime/pyodide.mjs": _without_map(runtime["pyodide.mjs"]),
        "runtime/pyodide.asm.mjs": _without_map(runtime["pyodide.asm.mjs"]),
        "runtime/lock.js": _as_module(_lock(runtime["pyodide-lock.json"])),
        "runtime/wasm.js": _as_module(_base64(_gzip(runtime["pyodide.asm.wasm"]))),
        "runtime/stdlib.js": _as_module(_base64(_gzip(packed.stdlib))),
        "runtime/packages.js": _as_module(_base64(packed.packages)),
        "runtime/viz.js": npm[_GRAPHVIZ]["dist/viz.js"],
    }


def _new(folder: Path) -> Path:
    folder.mkdir(exist_ok=True)
    return folder


# -- what is made of what came ------------------------------------------------------------------------


def _as_module(text: str) -> bytes:
    """A text as a JavaScript module, so that it is imported and nothing need be fetched."""
    return f"export default {json.dumps(text)};\n".encode()


def _base64(data: bytes) -> str:
    return base64.b64encode(data).decode("ascii")


def _gzip(data: bytes) -> bytes:
    return gzip.compress(data, _GZIP_LEVEL, mtime=0)


def _lock(text: bytes) -> str:
    """What the runtime needs of its list of packages when it loads none of them: what it is itself."""
    lock = json.loads(text)
    return json.dumps({**lock, "packages": {}})


def _without_map(script: bytes) -> bytes:
    """A script without the line that names its source map, which is not packed: a browser's tools would look for it."""
    return re.sub(rb"\n//# sourceMappingURL=\S+\s*\Z", b"\n", script)


def _chips(source: Traversable) -> str:
    """The drawing of chips of the board's page as a module: what it takes from the page's other scripts is handed in."""
    return (
        f"export function chipsOf({{ make, draw, drawn, legItem }}) {{\n{source.read_text(encoding='utf-8')}"
        "return chipFigure;\n}\n"
    )


def _licences(pinned: Pinned, npm: Mapping[str, Mapping[str, bytes]], packed: Packed) -> str:
    """Under what everything that is packed may be used; a text that several have stands at the end, once."""
    shown = [_block("rgbroots", own_version() or "", "MIT", packed.licences["rgbroots"])]
    shared = {}
    for package in pinned.npm:
        source = source_of(npm[package.name]["package.json"])
        said = "\n".join(line for line in (package.copyright, f"Source: {source}") if line)
        shown.append(_block(package.name, package.version, package.licence, said))
        shown += [_block(f"{h.name}, in {package.name}", "", h.licence, h.copyright) for h in package.holds]
        shared.update(dict.fromkeys(_names_of_licences(package)))
    for wheel in pinned.wheels:
        shown.append(_block(wheel.name, wheel.version, wheel.licence, packed.licences[wheel.name]))
    texts = files("tracer.web") / "licences"
    for licence in shared:
        shown.append(_block(licence, "", "the text", (texts / f"{licence}.txt").read_text(encoding="utf-8")))
    return "\n\n".join(shown)


def _names_of_licences(package: NpmPackage) -> list[str]:
    return [package.licence, *(held.licence for held in package.holds)]


def _block(name: str, version: str, licence: str, text: str) -> str:
    head = f"{' '.join(word for word in (name, version) if word)}: {licence}"
    return f"{head}\n{'=' * len(head)}\n\n{text.strip()}\n"


def _render(template: str, **values: object) -> bytes:
    environment = Environment(
        loader=PackageLoader("tracer.web", "assets"),
        autoescape=template.startswith("index"),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template(template).render(values).encode("utf-8")


def _policy() -> str:
    return page_policy(script_hash())


def _hash(made: Mapping[str, bytes]) -> str:
    """Over the names and contents of all files, and of what becomes the one that the hash stands in."""
    digest = hashlib.sha256()
    worker = (files("tracer.web") / "assets" / _WORKER).read_bytes()
    for name, data in sorted({**made, _WORKER: worker}.items()):
        digest.update(name.encode("utf-8") + b"\0" + hashlib.sha256(data).digest())
    return digest.hexdigest()[:_HASH_LETTERS]


# -- the folder ---------------------------------------------------------------------------------------


def _refuse_others(folder: Path) -> None:
    """Nothing is built where other files are.

    Raises
    ------
    EmitError
        A file has that name, or the folder holds what no build put there.
    """
    if folder.exists() and not folder.is_dir():
        raise EmitError("a file has that name", file=str(folder), fix="name another folder with -o")
    if not folder.is_dir():
        return
    found = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir()}
    manifest = read_manifest(folder)
    others = sorted(found - {MANIFEST, *manifest.files} if manifest else found)
    if others:
        raise EmitError(
            f"the folder holds what no build put there ({others[0]}), which would be lost",
            file=str(folder),
            fix="name another folder with -o, or take that out of it",
        )


def _put_in_place(folder: Path, made: Mapping[str, bytes]) -> None:
    """Write beside the folder, and put it in its place at the end.

    Raises
    ------
    EmitError
        It cannot be written; the old folder is as it was.
    """
    # A link keeps leading where it leads.
    place = folder.resolve()
    beside = None
    try:
        beside = Path(tempfile.mkdtemp(prefix=".rgbroots-", dir=place.parent))
        new, old = beside / "new", beside / "old"
        for name, data in made.items():
            (new / name).parent.mkdir(parents=True, exist_ok=True)
            (new / name).write_bytes(data)
        if place.exists():
            place.rename(old)
        try:
            new.rename(place)
        except BaseException:
            if old.exists():
                old.rename(place)
            raise
    except OSError as error:
        raise EmitError(
            f"cannot write it: {error.strerror or error}",
            file=str(folder),
            fix="name another place with -o, or end what has the folder open",
        ) from None
    finally:
        if beside is not None:
            shutil.rmtree(beside, ignore_errors=True)
