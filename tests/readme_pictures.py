"""Takes the pictures of README.md from a running demo: `python tests/readme_pictures.py [http://127.0.0.1:8000]`.

Take them from a demo begun anew (`python3 manage.py demo --fresh --years 2`), so that its day lies around now and the
review has something to count. Forms are filled
in and looked at, not kept; only a link to an intake is made.
"""

import io
import math
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, sync_playwright

PICTURES = Path(__file__).resolve().parent.parent / "static" / "img" / "readme"
PASSWORDS = {"desk": "kettle-window-27", "stylist": "copper-thimble-58", "owner": "walnut-lantern-91"}
TABLET = {"width": 1180, "height": 820}
COLOURS = 256
LARGEST_BYTES = 250_000


def signed_in(browser: Browser, address: str, name: str) -> Page:
    page = browser.new_context(viewport=TABLET, locale="en-GB", reduced_motion="reduce").new_page()
    page.goto(f"{address}/sign-in/")
    page.get_by_label("Username").fill(name)
    page.get_by_label("Password").fill(PASSWORDS[name])
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_load_state("networkidle")
    return page


def take(page: Page, name: str, *, top_at: str = "", has_chart: bool = False) -> None:
    """Keep what the tablet shows, with the element `top_at` scrolled to the top, in few colours."""
    if top_at:
        page.locator(top_at).first.evaluate("element => window.scrollBy(0, element.getBoundingClientRect().top - 12)")
    page.wait_for_timeout(300)  # the head is drawn in the next frame
    keep(Image.open(io.BytesIO(page.screenshot())), name, has_chart=has_chart)


def keep(picture: Image.Image, name: str, *, has_chart: bool = False) -> None:
    # an octree keeps colours of which there is little, a chart's, where the usual way keeps the shades of a page
    way = Image.Quantize.FASTOCTREE if has_chart else Image.Quantize.MEDIANCUT
    few = picture.convert("RGB").quantize(COLOURS, method=way, dither=Image.Dither.NONE)
    PICTURES.mkdir(parents=True, exist_ok=True)
    few.save(PICTURES / f"{name}.png", optimize=True)
    size = (PICTURES / f"{name}.png").stat().st_size
    if size > LARGEST_BYTES:
        raise SystemExit(f"{name}.png has {size} bytes; a picture of the README has {LARGEST_BYTES} at most.")
    sys.stdout.write(f"{name}.png, {size // 1000} kB\n")


def visit_of(page: Page, address: str, client: str) -> str:
    """The address of the client's open visit."""
    page.goto(f"{address}/fittings/")
    row = page.get_by_role("row").filter(has_text=client).first
    row.get_by_role("link", name="Go on").click()
    return re.sub(r"(/fittings/[^/]+/).*", r"\1", page.url)


def take_paper(page: Page, address: str, reference: str, name: str) -> None:
    """Keep the two pages of a consult's summary side by side, as they are printed (`pdftoppm` of poppler-utils)."""
    paper = page.request.get(f"{address}/fittings/{reference}/summary.pdf").body()
    with tempfile.TemporaryDirectory() as folder:
        subprocess.run(["pdftoppm", "-r", "70", "-png", "-", f"{folder}/page"], input=paper, check=True)
        pages = [Image.open(file).convert("RGB") for file in sorted(Path(folder).glob("page*.png"))]
    gap = 16
    width = sum(one.width for one in pages) + gap * (len(pages) + 1)
    both = Image.new("RGB", (width, pages[0].height + 2 * gap), "#d9d4cc")
    left = gap
    for one in pages:
        both.paste(one, (left, gap))
        left += one.width + gap
    keep(both, name)


def mark(page: Page) -> None:
    """Mark the drawn colour photo where `salon/demo/drawn_colours.py` has put chart and hair."""
    page.get_by_role("radio", name="Chart", exact=True).check(force=True)
    photo = page.locator(".marks-frame img")
    corners = [(88, 88), (398, 88), (398, 274), (88, 274)]
    spots = [(560 + 300 * across, 40 + 640 * down) for down in (0.15, 0.5, 0.85) for across in (0.2, 0.5, 0.8)]
    for x, y in (*corners, *spots):
        box = photo.bounding_box()
        page.mouse.click(box["x"] + x / 960 * box["width"], box["y"] + y / 720 * box["height"])
    page.locator("#reading").get_by_text("Nearest", exact=False).first.wait_for()
    page.wait_for_load_state("networkidle")


def take_intake(browser: Browser, address: str) -> None:
    """The page a client sees when the tablet is handed to her, a consent agreed to and her name begun by hand."""
    page = signed_in(browser, address, "desk")
    page.goto(f"{address}/clients/?q=garrowby")
    page.get_by_role("link", name="Garrowby").first.click()
    page.goto(page.url.rstrip("/") + "/intake/")
    page.get_by_role("button", name="Hand the tablet over").first.click()
    page.wait_for_url("**/intake/*/")
    pad = page.locator("signature-pad canvas, signature-pad svg").first
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()

    def at(step: int) -> tuple[float, float]:
        """Loops that grow smaller, as a name written by hand."""
        turn, size = step / 5, 0.16 * (1 - step / 140)
        across, down = 0.2 + step * 0.005 - 0.03 * math.cos(turn), 0.5 + size * math.sin(turn)
        return box["x"] + across * box["width"], box["y"] + down * box["height"]

    page.mouse.move(*at(0))
    page.mouse.down()
    for step in range(1, 100):
        page.mouse.move(*at(step))
    page.mouse.up()
    take(page, "intake")


def take_all(browser: Browser, address: str) -> None:
    desk = signed_in(browser, address, "desk")
    desk.goto(f"{address}/today/")
    desk.locator(".board-scroller").evaluate(
        "board => board.scrollTo(0, board.querySelector('.block-in-the-chair').offsetTop - 60)"
    )
    take(desk, "today")

    desk.get_by_role("link", name="Book", exact=True).click()
    desk.get_by_label("Who is it for?").fill("win")
    desk.get_by_role("link", name="Winifred").click()
    desk.get_by_role("radio", name="Check-up").check(force=True)  # its pill lies over it
    desk.wait_for_load_state("networkidle")
    take(desk, "booking", top_at="h1")

    desk.goto(f"{address}/care/")
    take(desk, "care")

    take_intake(browser, address)

    stylist = signed_in(browser, address, "stylist")
    examined = visit_of(stylist, address, "Coralie")
    stylist.goto(f"{examined}map/")
    take(stylist, "map", top_at=".steps")

    stylist.goto(f"{examined}own-hair/photo/")
    stylist.get_by_role("link", name="Taken at").first.click()
    stylist.wait_for_load_state("networkidle")
    mark(stylist)
    take(stylist, "marks", top_at=".marks-layout", has_chart=True)

    choosing = visit_of(stylist, address, "Leonie")
    stylist.goto(f"{choosing}candidates/")
    take(stylist, "candidates", top_at="article.candidate")
    stylist.get_by_role("link", name="Curlew Bank").last.click()
    stylist.wait_for_load_state("networkidle")
    with stylist.expect_response("**/placement/**"):
        stylist.get_by_label("Set-back").first.fill("20")
    take(stylist, "set-back", top_at="h1")

    stylist.goto(f"{choosing}services/plan/heat/")
    stylist.get_by_role("group", name="Done to").get_by_role("radio").first.check()
    stylist.get_by_role("radio", name="An iron").check(force=True)  # its pill lies over it
    stylist.get_by_label("Set to").fill("215")
    stylist.get_by_role("button", name="Ask the rules").click()
    stylist.wait_for_load_state("networkidle")
    take(stylist, "service", top_at=".finding")

    stylist.goto(f"{address}/fittings/")
    finished = stylist.get_by_role("link", name="Marguerite").first.get_attribute("href")
    take_paper(stylist, address, re.search(r"F-\w{8}", finished).group(), "summary")

    stylist.goto(f"{address}/clients/?q=rosa")
    stylist.get_by_role("link", name="Rosa").first.click()
    take(stylist, "client")
    hers = stylist.url.rstrip("/")
    stylist.get_by_role("link", name="Thimble Lane", exact=True).first.click()
    stylist.wait_for_load_state("networkidle")
    take(stylist, "piece", top_at="h1")
    stylist.goto(f"{hers}/hair/")
    take(stylist, "over-time", top_at="h1")
    stylist.goto(f"{hers}/photos/compare/")
    sets = stylist.get_by_label("On the left").locator("option").all_inner_texts()
    own_hair = [label for label in sets if label.startswith("Own hair")]
    stylist.get_by_label("On the left").select_option(label=own_hair[-1])
    stylist.get_by_label("On the right").select_option(label=own_hair[0])
    stylist.get_by_role("button", name="Compare").click()
    stylist.get_by_role("link", name="Top").click()
    stylist.wait_for_load_state("networkidle")
    take(stylist, "compare", top_at="h1")
    take_money(signed_in(browser, address, "owner"), address)


def take_money(owner: Page, address: str) -> None:
    owner.goto(f"{address}/sales/?show=owing&q=yvette")
    owner.get_by_role("row").filter(has_text="Yvette").first.get_by_role("link").first.click()
    owner.wait_for_load_state("networkidle")
    take(owner, "sale", top_at="h1")
    owner.goto(f"{address}/review/?span=24-months")
    take(owner, "review", top_at="#in-common")


def main() -> None:
    address = sys.argv[1].rstrip("/") if len(sys.argv) > 1 else "http://127.0.0.1:8000"
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        take_all(browser, address)
        browser.close()


if __name__ == "__main__":
    main()
