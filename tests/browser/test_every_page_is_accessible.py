"""Every page of the site as each role sees it: axe finds nothing, nothing sticks out, targets are large.

axe-core's rules of WCAG 2.0 to 2.2, A and AA, and its best practices. What a page holds is the salon of
`tests.mutated.scene`, in which everything is there once; and a salon on its first day, in which nothing is.
"""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.urls import reverse

from tests.factories import STAFF
from tests.mutated.addresses import arguments_of
from tests.mutated.scene import make_scene
from tests.test_every_page import TABLE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
DARK = {"color_scheme": "dark"}
FILES = {"catalogue-example", "consult-summary-pdf", "client-consents-paper", "ring-photo-file", "photo-file"}
FILES |= {"appointment-ics", "calendar-feed", "care-sheet", "service-record", "own-hair-record", "skin-test-record"}
FILES |= {"catalogue-export", "client-record", "stage-drawing", "maker-order-csv", "receipt", "labels-pdf"}
FILES |= {"piece-picture", "review-csv"}
NO_PAGES = FILES | {"candidate-placement", "client-phone"}  # parts of a page
LISTS = ["today", "clients", "pieces", "bases", "shades", "units", "fittings", "house-rules", "catalogue-import"]
LISTS += ["maker-file"]
LISTS += ["ring-photos", "ring-both-ways", "free-times", "awaited-pieces", "appointment-new", "appointment-series"]
LISTS += ["review", "walk-in", "week", "waiting-list", "waiting-new", "messages", "calendar-feeds", "clients-import"]
LISTS += ["maker-orders", "maker-order-new"]
LISTS += ["sales", "deposits", "price-list", "priced-service-new", "tax-rates", "tax-rate-new"]
LISTS += ["labels", "stocktakes"]
LISTS += ["makers", "maker-new", "base-new", "piece-new", "shade-new"]
LISTS += ["returns", "return-reasons"]
LISTS += ["setting-up", "kinds", "kind-new", "places", "opening-hours", "closures", "people", "time-off", "client-new"]
OPTIONS = {"resultTypes": ["violations"], "rules": {"target-size": {"enabled": True}}}
AXE = Axe().axe_script
FOUND = """async (options) => (await axe.run(document, options)).violations
  .flatMap(({ id, nodes }) => nodes.map(({ html }) => `${id}: ${html.slice(0, 160)}`))"""
TARGET, SMALLEST = 44, 24  # CSS pixels: this house's own, and WCAG 2.2's (2.5.8)
MEASURE = """([wanted, smallest]) => {
  const shown = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const controls = "button, .btn, summary, select, textarea, nav a, input:not([type=hidden])";
  const area = (element) => {
    const label = element.matches("[type=radio], [type=checkbox]") && element.labels[0];
    return (label || element).getBoundingClientRect();
  };
  const named = (element, { width, height }) =>
    `${element.outerHTML.replace(/\\s+/g, " ").slice(0, 90)}: ${Math.round(width)} × ${Math.round(height)}`;
  return [...document.querySelectorAll(controls)]
    .filter((element) => shown(element) && !element.closest(".visually-hidden"))
    .map((element) => [element, area(element)])
    .filter(([, { width, height }]) => height > 1 && (height < wanted - 0.5 || width < smallest))
    .map(([element, rectangle]) => named(element, rectangle));
}"""
STICKS_OUT = """() => {
  const wide = document.documentElement.scrollWidth - window.innerWidth;
  if (wide <= 0) return [];
  return [`the page is ${wide} px too wide`].concat(
    [...document.body.querySelectorAll("*")]
      .filter((element) => element.getBoundingClientRect().right > window.innerWidth + 1)
      .slice(0, 4)
      .map((element) => element.outerHTML.replace(/\\s+/g, " ").slice(0, 90)));
}"""

TABLES_THAT_SCROLL = """() => [...document.querySelectorAll(".stacking")]
  .filter((element) => element.scrollWidth > element.clientWidth + 1)
  .map((element) => `a table goes on to the right: ${element.innerText.slice(0, 90)}`)"""


@pytest.fixture
def scene(db):
    return make_scene()


def pages_of(role, scene):
    """(name, path) of every page that this role may open."""
    column = 3 + list(STAFF).index(role)
    open_to_her = [row[0] for row in TABLE if row[column] == 200 and row[0] not in NO_PAGES]
    arguments = arguments_of(scene)
    paths = [(name, reverse(name, args=arguments[name])) for name in open_to_her]
    new, shade = scene.new.reference, scene.variant.shade_id
    visit, finished = scene.visit.fitting.reference, scene.finished.reference
    more = [
        ("appointment-new", f"{reverse('appointment-new')}?client={new}", "booking for her"),
        ("appointment-new", f"{reverse('appointment-new')}?client={new}&kind={scene.kind.pk}&weekdays=2", "times"),
        ("walk-in", f"{reverse('walk-in')}?client={new}&kind={scene.kind.pk}", "who is free"),
        ("appointment-series", f"{reverse('appointment-series')}?client={new}", "a series of hers"),
        ("free-times", f"{reverse('free-times')}?kind={scene.kind.pk}", "times"),
        ("awaited-pieces", f"{reverse('awaited-pieces')}?client={new}", "one more of hers"),
        ("today", f"{reverse('today')}?day={scene.appointment.starts_at:%Y-%m-%d}", "tomorrow"),
        ("today", f"{reverse('today')}?day={scene.appointment.starts_at:%Y-%m-%d}&by=stylist", "tomorrow by stylist"),
        ("week", f"{reverse('week')}?day={scene.appointment.starts_at:%Y-%m-%d}", "of tomorrow"),
        ("waiting-new", f"{reverse('waiting-new')}?client={new}", "a wish of hers"),
        ("client-intake", reverse("client-intake", args=[scene.intake.client.reference]), "what somebody sent"),
        ("clients", f"{reverse('clients')}?q=nobody", "nobody found"),
        ("client", reverse("client", args=[scene.visit.fitting.client.reference]), "a client who was examined"),
        ("decision", reverse("decision", args=[finished]), "a finished visit"),
        ("decision", reverse("decision", args=[scene.stopped.fitting.reference]), "a stop"),
        ("services", reverse("services", args=[finished]), "services of a finished visit"),
        ("candidates", f"{reverse('candidates', args=[visit])}?show=does+not+fit", "what does not fit"),
        ("unit", reverse("unit", args=[scene.reserved.number]), "set aside"),
        ("unit", reverse("unit", args=[scene.cleaning.number]), "being cleaned"),
        ("unit", reverse("unit", args=[scene.apart.number]), "kept apart"),
        ("unit-reserve", f"{reverse('unit-reserve', args=[scene.unit.number])}?client={new}", "for her"),
        ("labels", f"{reverse('labels')}?unit={scene.unit.number}", "of one unit"),
        ("ring-photo", f"{reverse('ring-photo', args=arguments['ring-photo'])}?shade={shade}", "one shade to mark"),
        ("ring-photo", f"{reverse('ring-photo', args=arguments['ring-photo'])}?row={shade}", "a row to mark"),
        ("review", f"{reverse('review')}?span=24-months&by=stylist", "by stylist"),
        ("review", f"{reverse('review')}?span=own&since=2026-02-02&until=2026-02-01", "backwards"),
        ("review", f"{reverse('review-rows')}?what=sold&by=fibre", "what was sold"),
        *[("service-plan", reverse("service-plan", args=[visit, kind]), kind) for kind in ("colour", "fixing")],
    ]
    return paths + [(f"{name}, {what}", path) for name, path, what in more if name in open_to_her]


def violations(page):
    """What axe says, a line for each element it means; only that is handed over, and axe is brought once to a page."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE)
    return page.evaluate(FOUND, OPTIONS)


def violations_in_the_dark(page):
    """Of the page as it stands, without asking for it again: only the style sheets tell day and night apart."""
    page.emulate_media(color_scheme="dark")
    found = violations(page)
    page.emulate_media(color_scheme="light")
    return [f"in the dark, {line}" for line in found]


def look(page, live_server, path):
    page.goto(live_server.url + path)
    page.wait_for_load_state("load")


def walk(subtests, page, live_server, pages, *complaints):
    for name, path in pages:
        with subtests.test(name):
            look(page, live_server, path)
            found = [line for complain in complaints for line in complain(page)]
            assert not found, "\n".join(found)


def small_targets(page):
    return page.evaluate(MEASURE, [TARGET, SMALLEST])


def tables_that_scroll(page):
    return page.evaluate(TABLES_THAT_SCROLL)


def sticking_out(page):
    return page.evaluate(STICKS_OUT)


@pytest.mark.slow
@pytest.mark.parametrize("role", ["Front desk", "Stylist"])
def test_axe_finds_nothing_on_any_page(role, scene, signed_in_page, live_server, subtests):
    page = signed_in_page(scene.staff[role])
    walk(subtests, page, live_server, pages_of(role, scene), violations)


@pytest.mark.slow
def test_axe_finds_nothing_on_an_owners_tablet_by_day_or_in_the_dark_and_targets_are_large(
    scene, signed_in_page, live_server, subtests
):
    page = signed_in_page(scene.staff["Owner"])
    complaints = (sticking_out, small_targets, violations, violations_in_the_dark)
    walk(subtests, page, live_server, pages_of("Owner", scene), *complaints)


@pytest.mark.slow
@pytest.mark.parametrize("role", STAFF)
def test_axe_finds_nothing_on_the_first_day(role, signed_in_page, live_server, subtests):
    column = 3 + list(STAFF).index(role)
    page = signed_in_page(STAFF[role]())
    open_to_her = {row[0] for row in TABLE if row[column] == 200}
    walk(subtests, page, live_server, [(name, reverse(name)) for name in LISTS if name in open_to_her], violations)


@pytest.mark.slow
def test_nothing_sticks_out_and_targets_are_large_on_a_phone(scene, signed_in_page, live_server, subtests):
    page = signed_in_page(scene.staff["Owner"], **PHONE)
    complaints = (sticking_out, small_targets, tables_that_scroll, violations)
    walk(subtests, page, live_server, pages_of("Owner", scene), *complaints)


@pytest.mark.parametrize("appearance", [{}, DARK, PHONE], ids=["light", "dark", "phone"])
def test_the_sign_in_page_and_its_refusal(appearance, new_context, live_server):
    page = new_context(**appearance).new_page()
    look(page, live_server, reverse("sign-in"))
    assert violations(page) + sticking_out(page) + small_targets(page) == []
    page.get_by_label("name").fill("nobody")
    page.get_by_label("password").fill("wrong")
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_load_state("load")
    assert violations(page) + sticking_out(page) + small_targets(page) == []


REFUSED = [
    ("client-new", re.compile("Save")),
    ("client-skin-tests", "Write down"),
    ("product-new", "Add"),
    ("appointment-cancel", "Cancel the appointment"),
    ("units-receive", "Put into the drawer"),
    ("return-new", "Take it back"),
    ("return-reason-new", "Add"),
    ("decision", "Keep the decision"),
    ("service-plan", re.compile("Plan")),
    ("catalogue-import", re.compile("Check")),
    ("reading-photos", "Take it in and mark it"),
    ("base-new", "Add"),
    ("shade-new", "Add"),
    ("piece-picture-new", "Add the picture"),
]


@pytest.mark.slow
def test_axe_finds_nothing_on_pages_that_refuse(scene, signed_in_page, live_server, subtests):
    page = signed_in_page(scene.staff["Owner"])
    for name, button in REFUSED:
        with subtests.test(name):
            look(page, live_server, reverse(name, args=arguments_of(scene)[name]))
            page.evaluate("document.querySelectorAll('main form').forEach((form) => { form.noValidate = true; })")
            page.locator("main").get_by_role("button", name=button).last.click()
            page.wait_for_load_state("load")
            assert violations(page) == []
