"""Gets what ``pinned.toml`` names, by the clients of its registries, and our own wheel from the checkout.

What came is hashed here too: nothing is handed on that is not what was looked at when it was pinned.
"""

from __future__ import annotations

import base64
import hashlib
import io
import json
import shutil
import subprocess
import sys
import tarfile
from collections.abc import Sequence
from pathlib import Path

from tracer.base.errors import EmitError
from tracer.web.pinned import NpmPackage, Wheel

__all__ = ["checkout", "fetch_npm", "fetch_wheels", "make_own_wheel", "run_program", "source_of"]

#: Lines of what a program said that are told when it failed; the last ones say why.
_TOLD = 3
#: What to do when a registry's client fails.
_OUTSIDE = "look whether the network and the package registries can be reached, then build again"
#: In every package of npm; says where its source is.
_ABOUT = "package.json"
#: For which the one wheel with machine code is asked, whose machine code is left out (see ``pinned.toml``).
_PLATFORM = ("--platform", "manylinux2014_x86_64", "--python-version", "3.11", "--implementation", "cp")


def fetch_npm(package: NpmPackage, folder: Path) -> dict[str, bytes]:
    """The files of a package that are taken, by their path in it, and its ``package.json``.

    Parameters
    ----------
    folder : Path
        Where the tarball is put; an empty folder.

    Raises
    ------
    EmitError
        There is no npm, it gave nothing, or what it gave is not what was pinned.
    """
    npm = shutil.which("npm")
    if npm is None:
        raise EmitError(
            f"npm, which fetches {package.name}, is not installed",
            fix="install Node.js, which brings it, then build again",
        )
    words = (npm, "pack", "--silent", "--ignore-scripts", f"{package.name}@{package.version}")
    run_program(words, f"npm did not get {package.name} {package.version}", folder)
    tarballs = list(folder.glob("*.tgz"))
    if len(tarballs) != 1:
        raise EmitError(f"npm gave no file for {package.name}", fix=_OUTSIDE)
    data = tarballs[0].read_bytes()
    came = base64.b64encode(hashlib.sha512(data).digest()).decode("ascii")
    _compare(package.name, package.version, came, package.sha512)
    taken = {}
    with tarfile.open(fileobj=io.BytesIO(data)) as tar:
        for name in (*package.files, _ABOUT):
            try:
                member = tar.extractfile(f"package/{name}")
            except KeyError:
                member = None
            if member is None:
                raise EmitError(
                    f"{package.name} {package.version} has no file {name}",
                    fix="correct its files in pinned.toml",
                )
            taken[name] = member.read()
    return taken


def source_of(about: bytes) -> str:
    """Where a package of npm says that its source is, from its ``package.json``."""
    repository = json.loads(about).get("repository", "")
    return str(repository.get("url", "") if isinstance(repository, dict) else repository).removeprefix("git+")


def fetch_wheels(wheels: Sequence[Wheel], folder: Path) -> list[Path]:
    """The wheels as files of `folder`, in their order.

    Raises
    ------
    EmitError
        pip did not get one, or it is not what was pinned.
    """
    asked = folder / "requirements.txt"
    lines = [f"{wheel.name}=={wheel.version} --hash=sha256:{wheel.sha256}\n" for wheel in wheels]
    asked.write_text("".join(lines), encoding="utf-8")
    words = (*_pip("download"), "--no-deps", "--require-hashes", "--only-binary=:all:", *_PLATFORM)
    run_program((*words, "-d", str(folder), "-r", str(asked)), "pip did not get the wheels", folder)
    found = []
    for wheel in wheels:
        path = folder / wheel.file
        if not path.is_file():
            raise EmitError(
                f"pip gave no file {wheel.file}", fix=f"correct the file of [{wheel.name}] in pinned.toml"
            )
        _compare(wheel.name, wheel.version, hashlib.sha256(path.read_bytes()).hexdigest(), wheel.sha256)
        found.append(path)
    return found


def checkout() -> Path:
    """The folder of this program's source.

    Raises
    ------
    EmitError
        The program was installed, so that there is none.
    """
    folder = Path(__file__).resolve().parent.parent.parent
    if not (folder / "pyproject.toml").is_file():
        raise EmitError(
            "the folder for a browser is built from a checkout, and this program was installed without one",
            file=str(folder),
            fix="get the source, and in its folder: pip install -e . and python -m tracer.web build -o DIR",
        )
    return folder


def make_own_wheel(source: Path, folder: Path) -> Path:
    """Our own wheel, with its data files, from a checkout.

    Raises
    ------
    EmitError
        pip could not make it.
    """
    words = (*_pip("wheel"), "--no-deps", "-w", str(folder), str(source))
    run_program(words, "pip did not make our own wheel", folder)
    return next(folder.glob("rgbroots-*.whl"))


def run_program(words: Sequence[str], failed: str, folder: Path, fix: str = _OUTSIDE) -> None:
    """Run a program in `folder`; nothing of what it says is shown unless it fails.

    Raises
    ------
    EmitError
        It ended with another code than 0; `failed` says what that means, `fix` what to do.
    """
    ended = subprocess.run(
        words, cwd=folder, capture_output=True, text=True, encoding="utf-8", errors="replace", check=False
    )
    if ended.returncode:
        said = [line.strip() for line in (ended.stderr + ended.stdout).splitlines() if line.strip()]
        raise EmitError(
            f"{failed}: {'; '.join(said[-_TOLD:]) or f'it ended with {ended.returncode}'}",
            fix=fix,
        )


def _pip(command: str) -> tuple[str, ...]:
    return (sys.executable, "-m", "pip", command, "--quiet", "--disable-pip-version-check")


def _compare(name: str, version: str, came: str, pinned: str) -> None:
    if came != pinned:
        raise EmitError(
            f"what came as {name} {version} has the hash {came}, and {pinned} is pinned",
            fix="do not use it; ask where it comes from, or pin the new one in pinned.toml once you have looked at it",
        )
