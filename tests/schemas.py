"""The JSON Schemas that the package ships, each beside the table that it is made from.

``python -m tests.schemas`` writes them anew; `tests/whole/test_schemas.py` compares.
"""

from __future__ import annotations

import json
from pathlib import Path

import tracer
from tracer.base.json_form import Document
from tracer.beeps.json import BEEP, REHEARSAL
from tracer.bitmap.checked import CHECK
from tracer.bitmap.json import MAP
from tracer.levels.json import LEVELS
from tracer.palette.json import PALETTE
from tracer.parts.table import PART
from tracer.suspects.json import SUSPECTS
from tracer.tracing.collection import ERROR

__all__ = ["DOCUMENTS", "schema_file", "schema_text"]

#: Room of the package -> what it writes as JSON.
DOCUMENTS: dict[str, tuple[Document, ...]] = {
    "bitmap": (MAP, CHECK),
    "parts": (PART,),
    "levels": (LEVELS,),
    "palette": (PALETTE,),
    "suspects": (SUSPECTS,),
    "beeps": (BEEP, REHEARSAL),
    "tracing": (ERROR,),
}
_WIDTH = 110


def schema_file(room: str, document: Document) -> Path:
    """Where a document's schema lies."""
    return Path(tracer.__file__).parent / room / f"{document.name}.schema.json"


def schema_text(document: Document) -> str:
    """A document's schema, laid out for people: what fits into a line stands in one."""
    return _laid_out(document.schema(), 0) + "\n"


def _laid_out(value: object, indent: int, room: int = _WIDTH) -> str:
    line = json.dumps(value, ensure_ascii=False)
    if not isinstance(value, dict | list) or indent + len(line) <= room:
        return line
    blanks = " " * (indent + 2)
    if isinstance(value, list):
        rows = [_laid_out(item, indent + 2) for item in value]
    else:
        rows = [
            f"{json.dumps(key)}: {_laid_out(item, indent + 2, _WIDTH - len(key) - 5)}"
            for key, item in value.items()
        ]
    opened, closed = "[]" if isinstance(value, list) else "{}"
    return f"{opened}\n" + ",\n".join(blanks + row for row in rows) + f"\n{' ' * indent}{closed}"


def main() -> None:
    """Write every schema."""
    for room, documents in DOCUMENTS.items():
        for document in documents:
            path = schema_file(room, document)
            path.write_text(schema_text(document), encoding="utf-8")
            print(path.relative_to(Path.cwd()))


if __name__ == "__main__":
    main()
