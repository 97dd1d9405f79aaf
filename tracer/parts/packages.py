"""One type in several packages: the same legs by name, other numbers.

A table of the library gives the numbers of the legs in another package in the order of its ``pins``::

    packages = { PLCC52 = "1 2 3 4 6 7 ..." }

``-`` stands for a leg that this package lacks. The number at the end of the package's name is how many legs it has;
those without a name are not connected.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace

from tracer.base.names import natural_key
from tracer.parts.model import PartType, PinType

__all__ = ["in_package", "named_package", "wrong_packages"]

#: What a leg is called that this package lacks.
_ABSENT = "-"
_PACKAGE = re.compile(r"[A-Z][A-Z0-9-]*?(\d{1,4})")


def wrong_packages(packages: object, names: list[str], most: int) -> Iterator[str]:
    """What is wrong with the key ``packages`` of a table whose legs have these names."""
    if not isinstance(packages, dict) or not all(isinstance(v, str) for v in packages.values()):
        yield "'packages' is a table of texts, such as { PLCC52 = \"7 8 9\" }"
        return
    for package, text in packages.items():
        size, numbers = _PACKAGE.fullmatch(package), text.split()
        used = [n for n in numbers if n != _ABSENT]
        if size is None or int(size[1]) > most:
            yield f"the package {package} must end with the number of its legs, up to {most:,}, such as PLCC52"
            continue
        if len(numbers) != len(names):
            yield f"`pins` has {len(names)} names, {package} has {len(numbers)} numbers: as many are wanted"
        for number in sorted((n for n, count in Counter(used).items() if count > 1), key=natural_key):
            yield f"two legs have the number {number} in {package}: give each its own"
        for number in used:
            if not number.isdecimal() or not 0 < int(number[:6]) <= int(size[1]):
                yield f"{package} has no leg {number}"


def in_package(part: PartType, package: str, text: str) -> PartType:
    """The same type in another package; see the head of this module."""
    size = _PACKAGE.fullmatch(package)
    assert size is not None
    other = {p.number: n for p, n in zip(part.pins, text.split(), strict=True) if n != _ABSENT}
    pins = {other[p.number]: replace(p, number=other[p.number]) for p in part.pins if p.number in other}
    for number in map(str, range(1, int(size[1]) + 1)):
        pins.setdefault(number, PinType(number, "NC", "nc", "nc"))
    arcs = tuple(
        replace(
            arc,
            source=other[arc.source],
            target=other[arc.target],
            when=tuple((other[pin], level) for pin, level in arc.when if pin in other),
        )
        for arc in part.arcs
        if arc.source in other and arc.target in other
    )
    return replace(
        part,
        pins=tuple(sorted(pins.values(), key=lambda p: natural_key(p.number))),
        arcs=arcs,
        package=package,
        other_packages=(),
    )


def named_package(text: str, packages: Mapping[str, PartType]) -> PartType | None:
    """The package that a footprint or marking names: ``PLCC-52``, ``Package_LCC:PLCC-52_SMD-Socket``, ``SOT-23-5``.

    >>> named_package("PLCC-52", {}) is None
    True
    """
    words = re.sub(r"[^A-Z0-9]", "", text.upper())
    for package, found in packages.items():
        if re.search(rf"{re.sub('[^A-Z0-9]', '', package)}(?!\d)", words):
            return found
    return None
