"""A drawing inside a page: plain elements whatever else the process does with namespaces, named and without styles."""

from xml.etree import ElementTree

import pytest

from fittings.review import pictures
from fittings.review.inline_svg import SVG, inline

DRAWING = f"""<svg xmlns="{SVG}" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 20 10" width="20" height="10">
<style>*{{}}</style><g id="a"><path d="M0 0" style="fill: #101010"/><use xlink:href="#a"/></g></svg>"""


@pytest.mark.parametrize("prefix", ["", "svg"])
def test_it_is_plain_elements_whoever_named_the_namespace_before(prefix, monkeypatch):
    monkeypatch.setattr(ElementTree, "_namespace_map", dict(ElementTree._namespace_map))
    ElementTree.register_namespace(prefix, SVG if prefix else "http://www.w3.org/1999/xhtml")
    drawn = inline(DRAWING, key="k", title="Sold", told="Two")
    assert drawn.startswith("<svg ")
    assert "ns0:" not in drawn
    assert "svg:" not in drawn
    assert '<path d="M0 0" fill="#101010" class="fill-ink" />' in drawn
    assert '<use href="#k-a" />' in drawn
    assert "style" not in drawn


def test_a_real_picture_is_too(monkeypatch):
    monkeypatch.setattr(ElementTree, "_namespace_map", {"http://www.w3.org/1999/xhtml": ""})
    drawn = pictures.bars([pictures.Bar("Consults", 1.0, "3")], key="steps", title="From consult to kept")
    assert drawn.startswith("<svg ")
    assert "ns0:" not in drawn
