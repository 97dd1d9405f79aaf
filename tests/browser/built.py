"""The folder for a browser, built whole: once for all tests and all their processes.

``RGBROOTS_WEB`` names a folder that was built before. Else it is built into the folder of the test run, which needs npm,
Node and their registry: where one is missing, the tests that ask for it are skipped and say so. With the references set
(``RGBROOTS_REFERENCES``) that is a mistake.
"""

from __future__ import annotations

import os
import shutil
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from tracer.base.errors import EmitError
from tracer.web.build import build
from tracer.web.folder import read_manifest
from tracer.web.serve import open_server

__all__ = ["built_folder", "served"]

#: Seconds by the clock between two looks whether another process is done, and after which it hangs.
_LOOK, _HANGS = 0.5, 900.0


def built_folder(factory: pytest.TempPathFactory) -> Path:
    """The built folder; a fixture of the whole session calls it."""
    named = os.environ.get("RGBROOTS_WEB")
    if named:
        if read_manifest(Path(named)) is None:
            raise pytest.UsageError(
                f"RGBROOTS_WEB={named} is no folder that python -m tracer.web build wrote"
            )
        return Path(named)
    for program in ("npm", "node"):
        if shutil.which(program) is None:
            _not_to_be_had(f"there is no {program}, which builds the folder for a browser")
    # Processes of one run (xdist) have folders of their own in one that they share.
    base = factory.getbasetemp()
    return _built_once(base.parent if os.environ.get("PYTEST_XDIST_WORKER") else base)


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """A built folder on a port of this machine; gives its address."""
    with open_server(folder, 0) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server.url
        server.shutdown()


def _built_once(shared: Path) -> Path:
    """Build in the process that comes first; the others wait for it."""
    folder, lock, failed = shared / "web", shared / "web.lock", shared / "web.failed"
    try:
        lock.touch(exist_ok=False)
    except FileExistsError:
        _wait(folder, failed)
        return folder
    try:
        build(folder)
    except EmitError as error:
        failed.write_text(str(error), encoding="utf-8")
        _not_to_be_had(str(error))
    except BaseException as error:
        failed.write_text(repr(error), encoding="utf-8")
        raise
    return folder


def _wait(folder: Path, failed: Path) -> None:
    ends = time.monotonic() + _HANGS
    # A build is put in place when it is whole.
    while read_manifest(folder) is None:
        if failed.is_file():
            _not_to_be_had(failed.read_text(encoding="utf-8"))
        if time.monotonic() > ends:
            raise TimeoutError("another process did not build the folder for a browser")
        time.sleep(_LOOK)


def _not_to_be_had(why: str) -> None:
    if os.environ.get("RGBROOTS_REFERENCES"):
        raise pytest.UsageError(why)
    pytest.skip(why)
