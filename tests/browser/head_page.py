"""A page with one <turning-head> and nothing of Django's: its HTML as the server would write it, and the static files.

`head_html` writes the element as its own tests need it; `serve_heads` lets a browser window open http://head.test/ and
gives it our modules and style sheets from the static folder.
"""

import html
import json
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


def head_html(density_hex="", *, head=HEAD, theme="", **attributes):
    """The page; attributes are written as data-…, with "_" for "-"."""
    patterns = {
        pattern.key: {"label": pattern.label, "hex": pattern_start(pattern.key, head).to_hex()} for pattern in PATTERNS
    }
    data = {
        "axes": ",".join(repr(float(axis)) for axis in head.semi_axes_mm),
        "zones": ZONE_TEXT,
        "patterns": json.dumps(patterns),
        "units": "cm",
        "mode": "paint",
        "assumed": " ".join(head.assumed),
    } | {name.replace("_", "-"): value for name, value in attributes.items()}
    written = " ".join(f'data-{name}="{html.escape(str(value))}"' for name, value in data.items())
    rows = "".join(
        f'<tr><th scope="row"><label for="zone_{zone.key}">{zone.label}</label></th>'
        f'<td><input type="number" id="zone_{zone.key}" name="zone_{zone.key}" min="0" max="100" step="5" value="100"></td></tr>'
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
    """Let the windows of this context open ADDRESS: page_html is the page, or a function that gives it anew each time."""

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


def density_of(hex_text):
    """(64, 64) percent remaining of a stored form."""
    return np.frombuffer(bytes.fromhex(hex_text), dtype=np.uint8).reshape(64, 64)
