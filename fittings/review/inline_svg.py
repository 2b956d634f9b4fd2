"""Makes a drawing of matplotlib fit to stand in a page: no style of its own, named and told in words, light and dark.

The pages' policy allows no inline style, so each declaration becomes an attribute. Colours become classes, which the
style sheet colours by day, by night and in print; lines and hatchings tell things apart where there is no colour.
"""

from __future__ import annotations

import re
from typing import Final
from xml.etree import ElementTree

from django.utils.safestring import SafeString, mark_safe

SVG: Final = "http://www.w3.org/2000/svg"
LINKS: Final = "http://www.w3.org/1999/xlink"
INK: Final = "#101010"
SOFT: Final = "#505050"
LINE: Final = "#d0d0d0"
FIRST: Final = "#6a3a66"
SECOND: Final = "#b08aac"
PAPER: Final = "#ffffff"
CLASSES: Final = {INK: "ink", SOFT: "soft", LINE: "line", FIRST: "first", SECOND: "second", PAPER: "paper"}
_KEPT_BY_THE_PAGE: Final = {"font-family", "font-weight", "font-style", "font"}


def inline(drawing: str, *, key: str, title: str, told: str) -> SafeString:
    """The drawing as an element of the page. key: unlike that of any other drawing on it."""
    root = ElementTree.fromstring(drawing)  # noqa: S314  # written by matplotlib a moment ago
    width, height = root.get("viewBox", "0 0 100 100").split()[2:]
    for name in ("width", "height", "version"):
        root.attrib.pop(name, None)
    _without(root, {f"{{{SVG}}}metadata", f"{{{SVG}}}style"})
    for element in root.iter():
        _styled_by_attributes(element)
        _named(element, key)
    for place, (tag, text) in enumerate((("title", title), ("desc", told))):
        said = ElementTree.Element(f"{{{SVG}}}{tag}", {"id": f"{key}-{tag}"})
        said.text = text
        root.insert(place, said)
    root.attrib |= {
        "class": "picture",
        "role": "img",
        "aria-labelledby": f"{key}-title",
        "aria-describedby": f"{key}-desc",
        "stroke-linejoin": "round",
        "data-shape": f"{float(width) / float(height):.2f}",
    }
    # a page needs no prefixes, and which stands for what is kept for the whole process, where others may change it
    for element in root.iter():
        element.tag = element.tag.removeprefix(f"{{{SVG}}}")
    root.set("xmlns", SVG)
    text = ElementTree.tostring(root, encoding="unicode", short_empty_elements=True)
    return mark_safe(text)  # noqa: S308  # an element tree escapes what stands in it


def _without(element: ElementTree.Element, tags: set[str]) -> None:
    for child in list(element):
        if child.tag in tags:
            element.remove(child)
        else:
            _without(child, tags)


def _styled_by_attributes(element: ElementTree.Element) -> None:
    classes = []
    declared = dict(part.split(":", 1) for part in element.attrib.pop("style", "").split(";") if ":" in part)
    given = {name: element.attrib[name] for name in ("fill", "stroke") if name in element.attrib}
    for name, value in (given | {key.strip(): value.strip() for key, value in declared.items()}).items():
        if name in _KEPT_BY_THE_PAGE:
            continue
        element.set(name, value)
        if name in ("fill", "stroke") and value in CLASSES:
            classes.append(f"{name}-{CLASSES[value]}")
    if element.tag == f"{{{SVG}}}text" and "fill" not in declared:
        classes.append("fill-ink")
    if classes:
        element.set("class", " ".join(classes))


def _named(element: ElementTree.Element, key: str) -> None:
    """Ids and what points at them begin with the drawing's key, so that two on a page do not meet."""
    for name, value in list(element.attrib.items()):
        if name == "id":
            element.set(name, f"{key}-{value}")
        elif name == f"{{{LINKS}}}href":
            del element.attrib[name]
            element.set("href", f"#{key}-{value.removeprefix('#')}")
        else:
            element.set(name, re.sub(r"url\(#", f"url(#{key}-", value))
