"""Unpacks the packages in the browser: stands in the runtime's standard library as the module `unpacked`.

`tarfile.extractall` looks after owners, modes and hostile names, which our own tar does not have, and takes four times
as long for it.
"""

from __future__ import annotations

import io
import sys
import tarfile
from pathlib import Path

__all__ = ["unpack_tar", "use"]


def use(packed: str, folder: str) -> None:
    """Unpack the file `packed`, a tar compressed with zstd, into a new folder, and import from there from now on."""
    # What older Pythons do not have: it is there in the runtime's.
    from compression import zstd  # type: ignore[import-not-found]

    unpack_tar(zstd.decompress(Path(packed).read_bytes()), Path(folder))
    Path(packed).unlink()
    sys.path.insert(0, folder)


def unpack_tar(data: bytes, folder: Path) -> None:
    """Write the files of a tar that `tracer.web.in_runtime.pack_folders` made into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    made = {folder}
    with tarfile.open(fileobj=io.BytesIO(data)) as tar:
        for member in tar:
            path = folder / member.name
            if path.parent not in made:
                path.parent.mkdir(parents=True, exist_ok=True)
                made.add(path.parent)
            path.write_bytes(data[member.offset_data : member.offset_data + member.size])
