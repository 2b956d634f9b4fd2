"""A page with one <turning-head> and nothing of Django's: its HTML as the server would write it, and the static files.

`head_html` writes the element as its own tests need it; `serve_heads` lets a browser window open http://head.test/ and
gives it our modules and style sheets from the static folder; the rest finds places on the screen and reads the field.
"""

import html
import json
from functools import cache
from pathlib import Path

import numpy as np

from clients.scalp.head import Head
from clients.scalp.loss_map import LossMap
from clients.scalp.patterns import PATTERNS, pattern_start
from clients.scalp.regions import ZONE_OF_CELL, ZONES

STATIC = Path(__file__).resolve().parents[2] / "static"
ADDRESS = "http://head.test/"
KINDS = {".js": "text/javascript", ".css": "text/css"}
HEAD = Head.from_tapes(559, 356, 343)
ZONE_TEXT = "".join("." if zone < 0 else str(zone) for zone in ZONE_OF_CELL.ravel())


@cache
def patterns_text(head):
    return json.dumps(
        {
            pattern.key: {"label": pattern.label, "hex": pattern_start(pattern.key, head).to_hex()}
            for pattern in PATTERNS
        }
    )


def head_html(density_hex="", *, head=HEAD, theme="", **attributes):
    """The page; attributes are written as data-…, with "_" for "-"."""
    data = {
        "axes": ",".join(repr(float(axis)) for axis in head.semi_axes_mm),
        "zones": ZONE_TEXT,
        "patterns": patterns_text(head),
        "units": "cm",
        "mode": "paint",
        "assumed": " ".join(head.assumed),
    } | {name.replace("_", "-"): value for name, value in attributes.items()}
    written = " ".join(f'data-{name}="{html.escape(str(value))}"' for name, value in data.items())
    rows = "".join(
        f'<tr><th scope="row"><label for="zone_{zone.key}">{zone.label}</label></th>'
        f'<td><input type="number" id="zone_{zone.key}" name="zone_{zone.key}" min="0" max="100" step="5" value="100">'
        "</td></tr>"
        for zone in ZONES
    )
    return f"""<!doctype html>
<html lang="en-GB"{f' data-theme="{theme}"' if theme else ""}>
<head>
  <meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>A head</title>
  <link rel="stylesheet" href="/static/css/salon.css"><link rel="stylesheet" href="/static/css/turning-head.css">
  <script type="module" src="/static/js/turning-head.js"></script>
</head>
<body><main><h1>Loss map</h1><form id="form">
  <turning-head {written}>
    <input type="hidden" name="density_hex" value="{density_hex or LossMap.full().to_hex()}">
    <svg viewBox="0 0 10 10" width="10" height="10" role="img"><title>Flat drawing</title></svg>
    <table class="zone-table"><caption>Remaining hair by zone</caption>
      <thead><tr><th scope="col">Zone</th><th scope="col">Percent left</th></tr></thead><tbody>{rows}</tbody></table>
  </turning-head>
</form></main></body></html>"""


def serve_heads(context, page_html):
    """Let the windows of this context open ADDRESS: page_html is the page, or gives it anew each time."""

    def answer(route):
        path = route.request.url.removeprefix(ADDRESS).split("?")[0]
        if path.startswith("static/"):
            file = STATIC / path.removeprefix("static/")
            route.fulfill(body=file.read_bytes(), content_type=KINDS[file.suffix])
        elif path:
            route.fulfill(status=204, body="")
        else:
            route.fulfill(
                body=page_html() if callable(page_html) else page_html,
                content_type="text/html; charset=utf-8",
                headers={"Content-Security-Policy": "default-src 'self'"},
            )

    context.route(ADDRESS + "**", answer)


def open_head_page(new_context, page_html=None, **how):
    """A window with the head drawn in it; `how` is the window's, as Playwright has it."""
    context = new_context(**how)
    serve_heads(context, page_html or head_html())
    page = context.new_page()
    page.goto(ADDRESS)
    drawn(page)
    return page


def drawn(page):
    page.locator("turning-head[data-drawn=sharp]").wait_for()


def place_of(page, normal):
    """Where a point of the scalp is on the screen."""
    page.locator(".head-canvas").scroll_into_view_if_needed()
    x, y = page.evaluate(
        """(normal) => {
          const head = document.querySelector("turning-head");
          const box = head.querySelector("canvas").getBoundingClientRect();
          const length = Math.hypot(...normal);
          const at = head.stage.view.project(head.geometry.pointAt(normal.map((part) => part / length)));
          return [box.left + at.x, box.top + at.y];
        }""",
        list(normal),
    )
    return x, y


def density(page):
    """(64, 64) percent remaining, as the hidden field has it."""
    stored = page.locator("[name=density_hex]").input_value()
    return np.frombuffer(bytes.fromhex(stored), dtype=np.uint8).reshape(64, 64)


def painted(page, below=100):
    return density(page) < below
