"""A built folder as short as can be, for what serves it."""

from __future__ import annotations

from pathlib import Path

from tracer.web.folder import MANIFEST, Manifest

__all__ = ["FILES", "POLICY", "lay_out_site"]

POLICY = "default-src 'none'; script-src 'self'"
FILES = (
    "index.html", "sw.js", "style.css", "app.webmanifest", "icon.svg", "licences.txt", "runtime/pyodide.mjs", "a.json", "a.zip",
    "a.wasm", "a.odd",
)  # fmt: skip


def lay_out_site(folder: Path) -> None:
    """Write it: each file holds its own name."""
    for name in FILES:
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(name, encoding="utf-8")
    (folder / MANIFEST).write_text(Manifest("0123456789abcdef", POLICY, FILES).as_json(), encoding="utf-8")
