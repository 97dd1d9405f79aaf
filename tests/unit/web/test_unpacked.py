"""What the browser unpacks, it imports."""

from __future__ import annotations

import io
import sys
import tarfile
from pathlib import Path

import pytest

from tracer.web import unpacked


def test_what_was_unpacked_is_imported_and_the_packed_file_is_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = io.BytesIO()
    with tarfile.open(fileobj=data, mode="w") as tar:
        info = tarfile.TarInfo("deep/in/it.py")
        info.size = 5
        tar.addfile(info, io.BytesIO(b"a = 1"))

    class Zstd:
        """In place of the compression that older Pythons lack: takes a letter off."""

        decompress = staticmethod(lambda data: data[1:])

    compression = type(sys)("compression")
    monkeypatch.setattr(compression, "zstd", Zstd, raising=False)
    monkeypatch.setitem(sys.modules, "compression", compression)
    monkeypatch.setattr(sys, "path", [*sys.path])
    packed = tmp_path / "packed"
    packed.write_bytes(b"!" + data.getvalue())
    unpacked.use(str(packed), str(tmp_path / "out"))
    assert (tmp_path / "out" / "deep" / "in" / "it.py").read_bytes() == b"a = 1"
    assert sys.path[0] == str(tmp_path / "out")
    assert not packed.exists()
