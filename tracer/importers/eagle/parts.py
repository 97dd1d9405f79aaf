"""What Eagle's parts and elements share: attributes, variants."""

from __future__ import annotations

from tracer.importers.kicad.netlist import PLACE_FIELDS
from tracer.importers.xml_tree import Element

__all__ = ["attributes", "current_variant", "place_of", "populated", "variant_of"]


def attributes(thing: Element) -> dict[str, str]:
    """Attributes of a part or an element: name in lower case -> value."""
    found: dict[str, str] = {}
    for attribute in thing.all("attribute"):
        found.setdefault(attribute.get("name").lower(), attribute.get("value"))
    return found


def place_of(facts: dict[str, str]) -> str:
    """Where on the board it sits, if an attribute tells."""
    return next((value for name, value in facts.items() if name in PLACE_FIELDS and value), "")


def current_variant(container: Element) -> str:
    """The assembly variant that was chosen last; empty for the default."""
    return next(
        (v.get("name") for v in container.all("variantdefs", "variantdef") if v.get("current") == "yes"), ""
    )


def variant_of(thing: Element, variant: str) -> Element | None:
    """What a variant changes about a part."""
    return next((v for v in thing.all("variant") if variant and v.get("name") == variant), None)


def populated(thing: Element, variant: str) -> bool:
    """Whether it is fitted."""
    chosen = variant_of(thing, variant)
    return (chosen.get("populate", "yes") if chosen is not None else thing.get("populate", "yes")) != "no"
