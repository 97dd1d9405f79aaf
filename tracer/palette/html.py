"""A palette as one page: the sheet of swatches, what differs or was asked for, every entry, what to know.

Self-contained: no script, font or picture from elsewhere; prints black on white.
"""

from __future__ import annotations

from collections.abc import Iterable

from tracer.diagram.html import text as escaped
from tracer.palette.grid import grid_of
from tracer.palette.sheet import sheet
from tracer.palette.values import Entry, Palette, as_hex
from tracer.palette.words import differ_text, leg_text, load_text, memory_text, number, sought_lines, title

__all__ = ["emit"]

_STYLE = """
:root { color-scheme: light }
body { font: 15px/1.45 "DejaVu Sans", Helvetica, Arial, sans-serif; color: #000; background: #fff; margin: 1.5em auto;
  max-width: 90em; padding: 0 1em }
h1 { font-size: 1.4em } h2 { font-size: 1.1em; margin: 1.6em 0 .4em }
ul { padding-left: 1.3em }
.wide { overflow-x: auto } svg { max-width: none }
table { border-collapse: collapse; font-variant-numeric: tabular-nums }
th, td { text-align: left; padding: .15em .8em .15em 0; border-bottom: 1px solid #ccc; vertical-align: top }
thead th { position: sticky; top: 0; background: #fff; border-bottom: 2px solid #000 }
td.s { padding-right: .4em } td.s span { display: inline-block; width: 3.2em; height: 1.15em; border: 1px solid #767676 }
code { font-family: "DejaVu Sans Mono", Menlo, Consolas, monospace; font-size: .95em }
.warn { font-weight: bold }
@media print { body { margin: 0; max-width: none } .wide { overflow: visible } svg { max-width: 100%; height: auto }
  thead th { position: static } tr { break-inside: avoid }
  svg rect, td.s span { print-color-adjust: exact; -webkit-print-color-adjust: exact } }
"""


def emit(palette: Palette) -> str:
    """The page as HTML text."""
    parts = [
        "<!doctype html>",
        "<html lang='en'><head><meta charset='utf-8'>",
        "<meta name='viewport' content='width=device-width, initial-scale=1'>",
        "<meta http-equiv='Content-Security-Policy' content=\"default-src 'none'; style-src 'unsafe-inline'\">",
        f"<title>{escaped(title(palette))}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{escaped(title(palette))}</h1>",
        _list(memory_text(m) for m in palette.memories),
        f"<p>Levels {escaped(load_text(palette))}. Each colour is scaled from its darkest level (00) to its brightest (ff), as "
        "a monitor's gains are set until all bits on are white.</p>",
        *_sought(palette),
        *_difference(palette),
        "<h2>Swatches</h2>",
        f"<p>{escaped(_legend(palette))}</p>",
        f"<div class='wide'>{sheet(palette, headed=False)}</div>",
        *_findings(palette),
        *_pairs(palette),
        *_index(palette),
        "<h2>Entries</h2>",
        _entries(palette),
        "</body></html>",
    ]
    return "\n".join(parts) + "\n"


def _legend(palette: Palette) -> str:
    order = "/".join(c.name for c in palette.colours)
    words = (
        f"Below each swatch: entry (hexadecimal), colour, codes {order}. "
        if grid_of(len(palette.entries)).is_named
        else ""
    )
    if palette.difference and palette.difference.pairs:
        words += "Framed: differs, the other dump's colour in the right half. "
    return f"{words}Point at a swatch for its codes and volts."


def _list(lines: Iterable[str]) -> str:
    return "<ul>" + "".join(f"<li>{escaped(line)}</li>" for line in lines) + "</ul>"


def _sought(palette: Palette) -> list[str]:
    if not palette.sought:
        return []
    first, *rest = sought_lines(palette, palette.sought)
    swatches = "".join(_swatch(as_hex(rgb)) for rgb in (palette.sought.asked, palette.sought.shown))
    return [f"<h2>{escaped(first)}</h2><table><tr>{swatches}</tr></table>", _list(rest)]


def _difference(palette: Palette) -> list[str]:
    difference = palette.difference
    if difference is None:
        return []
    lines = [leg_text(x) for x in difference.legs]
    if difference.n_unseen_words:
        lines.append(f"{difference.n_unseen_words:,} words differ where no entry shows it")
    return [f"<h2>{escaped(differ_text(difference))}</h2>", _list(lines) if lines else ""]


def _pairs(palette: Palette) -> list[str]:
    if not palette.difference or not palette.difference.pairs:
        return []
    rows = [
        f"<tr><td><code>{number(palette, a.entry)}</code></td>{_colour(a)}<td>{_codes(a)}</td>{_colour(b)}<td>{_codes(b)}</td></tr>"
        for a, b in palette.difference.pairs
    ]
    order = escaped("/".join(c.name for c in palette.colours))
    head = f"<th>entry</th><th colspan='2'>as given</th><th>codes {order}</th><th colspan='2'>other dump</th><th>codes</th>"
    table = f"<table><thead><tr>{head}</tr></thead><tbody>{''.join(rows)}</tbody></table>"
    return ["<h2>Entries that differ</h2>", table]


def _entries(palette: Palette) -> str:
    head = "".join(f"<th>{escaped(c.name)} code</th><th>volts</th>" for c in palette.colours)
    rows = []
    for entry in palette.entries:
        cells = "".join(
            f"<td>{code}</td><td>{'?' if volts is None else f'{volts:.3f}'}</td>"
            for code, volts in zip(entry.codes, entry.volts, strict=True)
        )
        rows.append(f"<tr><td><code>{number(palette, entry.entry)}</code></td>{cells}{_colour(entry)}</tr>")
    return (
        f"<table><thead><tr><th>entry</th>{head}<th colspan='2'>colour</th></tr></thead><tbody>\n"
        + "\n".join(rows)
        + "\n</tbody></table>"
    )


def _index(palette: Palette) -> list[str]:
    if not palette.index:
        return []
    rows = "".join(
        f"<tr><td>{b.bit}</td><td>{escaped(', '.join(b.legs))}</td><td>{escaped(b.driven_by)}</td></tr>"
        for b in palette.index
    )
    return [
        "<h2>Entry number</h2>",
        f"<table><thead><tr><th>bit</th><th>address legs</th><th>set by</th></tr></thead><tbody>{rows}</tbody></table>",
    ]


def _findings(palette: Palette) -> list[str]:
    if not palette.findings:
        return []
    ordered = sorted(palette.findings, key=lambda f: f.severity != "warning")
    items = "".join(
        f"<li class='warn'>! {escaped(f.text)}</li>"
        if f.severity == "warning"
        else f"<li>{escaped(f.text)}</li>"
        for f in ordered
    )
    return ["<h2>To know</h2>", f"<ul>{items}</ul>"]


def _colour(entry: Entry) -> str:
    return f"{_swatch(entry.colour)}<td><code>{entry.colour}</code></td>"


def _swatch(colour: str) -> str:
    return f"<td class='s'><span style='background:{colour}'></span></td>"


def _codes(entry: Entry) -> str:
    return "/".join(str(c) for c in entry.codes)
