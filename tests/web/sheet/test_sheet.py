"""The advice sheet: the numbers of the JSON answer on one or two pages, as a page for the browser and as a PDF."""

import base64
import copy
import hashlib
import io
import json
import math
import re
from html.parser import HTMLParser
from types import SimpleNamespace

import pypdf
import pytest

from service.advice.language.localise import LANGUAGES, catalogue, number
from service.advice.reference_tables import demo_room_bodies
from service.web.http.app import create_app
from service.web.sheet.figures import turned_sides_m, turned_standing
from service.web.sheet.plan import laid_out_m
from service.web.sheet.shapes import SMALLEST_PT

DETAILS = {
    "shop": "Klangwerk am Markt",
    "contact": "Vorführraum im Hof, Tür 3",
    "customer_reference": "K-117",
    "adviser": "Ä. Özdemir-Weiß",
    "date": "2026-11-25",
}
SCENES = {stem: body for folder, stem, body in demo_room_bodies() if folder == "advice"}
BEGINS = {"application/json": b"{", "text/html": b"<!doctype html>", "application/pdf": b"%PDF-"}
PAPERS_PT = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
"""ISO 216 A4 is 210 mm by 297 mm, US Letter 8.5 in by 11 in; a point is 1/72 in."""


def scene(name, *, language="en", **details):
    return {**copy.deepcopy(SCENES[name]), "language": language, "sheet": {**DETAILS, **details}}


def sheet(client, body, media_type):
    response = client.post("/v1/advice", json=body, headers={"Accept": media_type})
    assert response.status_code == 200, response.data[:500]
    assert response.mimetype == media_type
    return response


def pdf(client, body):
    return pypdf.PdfReader(io.BytesIO(sheet(client, body, "application/pdf").data))


def text_on(pages):
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def squeezed(text):
    """A text without its spaces and line ends, to find it in columns."""
    return "".join(text.split())


def rightmost_mm(page):
    """Where the text that begins furthest to the right begins."""
    begins_pt = []
    page.extract_text(visitor_text=lambda text, _, matrix, *more: begins_pt.append(matrix[4]) if text.strip() else None)
    return max(begins_pt) * 25.4 / 72


class Page(HTMLParser):
    """Reads a page: its elements with their attributes, and its text."""

    def __init__(self, text):
        super().__init__()
        self.elements, self.text = [], ""
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.elements.append((tag, dict(attributes)))

    def handle_data(self, data):
        self.text += data


# the numbers of the answer --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("name", ["visit_it_booms", "phone_eight_watts", "counter_which_amplifier"])
def test_pdf_and_page_say_what_the_answer_says(client, name, language):
    body = scene(name, language=language)
    answer = client.post("/v1/advice", json=body).json
    printed = squeezed(text_on(pdf(client, body).pages))
    shown = squeezed(Page(sheet(client, body, "text/html").get_data(as_text=True)).text)
    said = [answer["verdict"]["headline"]]
    said += [step["text"] for step in answer["next_steps"]]
    said += [asked["text"] for asked in answer["ask_next"]]
    said += [caution["text"] for caution in answer["cautions"]]
    said += [finding["text"] for finding in answer["findings"]]
    said += [number(answer["headroom"][key], 1, language) for key in ("headroom_db", "uncertainty_db")]
    said += [f"{number(answer['level'][key], 1, language)} dB" for key in ("peak_spl_db", "short_peak_db")]
    for best in (answer["placement"] or {}).get("placements", [])[:1]:
        said += [f"{mark['measure_to']}{mark['cm']:.0f} cm" for mark in best["tape_measure"]]
    assert [text for text in said if squeezed(text) not in shown] == []
    beside = [text for text in said if not text.endswith(" cm")]  # the PDF sets distances before the words
    assert [text for text in beside if squeezed(text) not in printed] == []
    for text in (text for text in said if text.endswith(" cm")):
        assert squeezed(re.search(r"[\d]+ cm$", text)[0]) in printed


def test_levels_by_octave_are_those_of_the_answer(client):
    body = scene("visit_it_booms")
    answer = client.post("/v1/advice", json=body).json
    row = re.search(r"at the chair, dB((?: \d+)+)", text_on(pdf(client, body).pages))[1]
    assert [int(x) for x in row.split()] == [round(x) for x in answer["level"]["bands"]["level_db"]]


def test_assumptions_carry_their_reasons(client):
    body = scene("counter_which_speaker")
    answer = client.post("/v1/advice", json=body).json
    shown = squeezed(Page(sheet(client, body, "text/html").get_data(as_text=True)).text).lower()
    assert len(answer["assumptions"]) > 5
    assert [one["why"] for one in answer["assumptions"] if squeezed(one["why"]).lower() not in shown] == []


def test_the_request_that_repeats_it_goes_with_it(client):
    body = scene("visit_it_booms")
    document = pdf(client, body)
    attached = json.loads(document.attachments["request.json"][0])
    assert attached == json.loads(json.dumps(client.post("/v1/advice", json=body).json["inputs"]))
    # posted back, what was assumed counts as told: the same levels, a smaller uncertainty and so another chance
    first, again = (client.post("/v1/advice", json=posted).json["headroom"] for posted in (body, attached))
    assert again["headroom_db"] == pytest.approx(first["headroom_db"], abs=0.01)
    assert again["uncertainty_db"] <= first["uncertainty_db"]
    said = [words_of(text_on(each.pages[:1]))[:400] for each in (document, pdf(client, attached))]
    assert said[0] == said[1]


def words_of(text):
    """A text without its numbers."""
    return re.sub(r"\d+([.,]\d+)?", "#", text)


def test_amplifiers_are_ranked_three_at_most(client):
    body = scene("visit_it_booms")
    del body["amplifier"]
    watts = {"Amp A": 0.01, "Amp B": 30, "Amp C": 2, "Amp D": 8}
    body["amplifiers"] = [{"name": name, "power_w": w, "kind": "class_d"} for name, w in watts.items()]
    ranking = client.post("/v1/advice", json=body).json["match"]["ranking"]
    printed = text_on(pdf(client, body).pages[:1])
    for entry in ranking[:3]:
        grade = catalogue("en")[f"terms.grade.{entry['grade']}"]
        assert (
            f"{entry['rank']}. {entry['name']}: {grade}, headroom {number(entry['headroom_db'], 0, 'en')} dB" in printed
        )
    assert ranking[3]["name"] not in printed


@pytest.mark.parametrize("name", ["visit_it_booms", "flat_living_room", "dealer_large_room", "attic_study"])
def test_each_distance_on_the_plan_is_the_one_of_its_number(client, name):
    """The lines of the plan and the rows of the list come from two places: number by number they must agree."""
    answer = client.post("/v1/advice", json=scene(name)).json
    room = answer["inputs"]["room"]
    for placed in filter(None, (*answer["placement"]["placements"], answer["placement"]["as_found"])):
        marks, wall = placed["tape_measure"], placed["front_wall"]
        as_object = json.loads(json.dumps(placed), object_hook=lambda item: SimpleNamespace(**item))
        sides_m = (room["length_m"], room["width_m"])
        length_m, width_m = turned_sides_m(sides_m, wall)
        standing = turned_standing(as_object, sides_m=sides_m, front_wall=wall)
        ways = laid_out_m(standing, length_m=length_m, width_m=width_m, count=len(marks))
        shown = [(100 * math.dist(*way), mark["cm"]) for way, mark in zip(ways, marks, strict=True) if way]
        assert len(shown) >= 9
        assert [pair for pair in shown if abs(pair[0] - pair[1]) > 0.2] == []


# form -----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", SCENES)
def test_every_scene_is_one_or_two_pages_with_embedded_fonts_and_no_small_print(client, name):
    response = sheet(client, scene(name, language="de"), "application/pdf")
    assert len(response.data) < 500_000
    document = pypdf.PdfReader(io.BytesIO(response.data))
    assert len(document.pages) in (1, 2)
    sizes_pt, fonts = set(), {}

    def visit(text, _matrix, _text_matrix, font, size_pt):
        if text.strip():
            sizes_pt.add(size_pt)
            fonts[font["/BaseFont"]] = font["/DescendantFonts"][0].get_object()["/FontDescriptor"]

    for page in document.pages:
        page.extract_text(visitor_text=visit)
    assert min(sizes_pt) >= SMALLEST_PT == 9
    assert len(fonts) == 2
    for descriptor in fonts.values():  # what the descriptor calls TrueType is: its first bytes say so
        assert descriptor.get_object()["/FontFile2"].get_object().get_data()[:4] == b"\x00\x01\x00\x00"


@pytest.mark.parametrize("paper", PAPERS_PT)
def test_both_papers(client, paper):
    document = pdf(client, scene("visit_it_booms", paper=paper))
    for page in document.pages:
        assert [float(x) for x in page.mediabox[2:]] == pytest.approx(PAPERS_PT[paper], abs=0.05)
    assert f"@page {{ size: {paper};" in sheet(client, scene("visit_it_booms", paper=paper), "text/html").text


def test_head_of_the_sheet_and_umlauts(client):
    german = text_on(pdf(client, scene("visit_it_booms", language="de")).pages[:1])
    for text in ("Beratungsblatt", *(DETAILS[key] for key in ("shop", "contact", "adviser")), "25. November 2026"):
        assert text in german
    assert "Hörplatz" in german
    english = text_on(pdf(client, scene("visit_it_booms")).pages[:1])
    assert "25 November 2026" in english
    assert "Reference: K-117" in english


def test_signs_of_units_are_in_the_font(client):
    body = scene("visit_it_booms", shop="m² ± Ω ≥ – „Klang“ äöüÄÖÜß")
    assert DETAILS["contact"] in text_on(pdf(client, body).pages)
    assert body["sheet"]["shop"] in text_on(pdf(client, body).pages)


def test_feet_and_inches(client):
    body = scene("visit_it_booms", units="imperial")
    marks = client.post("/v1/advice", json=body).json["placement"]["placements"][0]["tape_measure"]
    printed = text_on(pdf(client, body).pages[:1])
    assert [mark for mark in marks if mark["feet_and_inches"] not in printed] == []


def test_without_places_there_is_no_plan_and_no_curve(client):
    body = scene("phone_eight_watts")
    assert "svg" not in [tag for tag, _ in Page(sheet(client, body, "text/html").text).elements]
    printed = text_on(pdf(client, body).pages)
    assert catalogue("en")["sheet.where"] not in printed
    assert catalogue("en")["sheet.bass"] not in printed


def test_a_sheet_of_a_few_parts(client):
    body = {**scene("visit_it_booms"), "include": ["verdict"]}
    printed = text_on(pdf(client, body).pages)
    assert client.post("/v1/advice", json=body).json["verdict"]["headline"] in printed
    assert catalogue("en")["sheet.where"] not in printed


def test_where_leaving_it_is_best_the_plan_is_of_today(client):
    body = scene("visit_it_booms")
    answer = client.post("/v1/advice", json=body).json
    best = answer["placement"]["placements"][0]
    speakers = [{key: place[key] for key in ("x_m", "y_m", "z_m", "facing_deg")} for place in best["speakers"]]
    body["room"], body["positions"] = answer["inputs"]["room"], {"speakers": speakers, "seats": best["seats"]}
    del body["as_found"]
    answer = client.post("/v1/advice", json=body).json
    assert "leave_it" in [finding["code"] for finding in answer["findings"]]
    first = text_on(pdf(client, body).pages[:1])
    assert catalogue("en")["sheet.plan.dashed"] not in first
    for mark in answer["placement"]["as_found"]["tape_measure"]:
        assert f"{mark['cm']:.0f} cm" in first


# hostile and extreme --------------------------------------------------------------------------------------------------


def test_hostile_texts_are_only_text(client):
    hostile = '</p><script>alert(1)</script>"&\n\u202e\u0007**x** {nb} 店😀'
    body = scene("visit_it_booms", shop=hostile, customer_reference="<b>1</b>")
    body["note"] = "</pre><script>alert(2)</script>"
    page = sheet(client, body, "text/html")
    elements = Page(page.get_data(as_text=True)).elements
    assert {"script", "b"}.isdisjoint(tag for tag, _ in elements)
    assert not any(name.startswith("on") or name == "style" for _, attributes in elements for name in attributes)
    printed = text_on(pdf(client, body).pages)
    assert "</p><script>alert(1)</script>" in printed
    assert "**x** {nb}" in printed


def test_the_longest_words_and_most_facts_still_make_two_pages(client):
    body = scene("hotel_suite_field_coil", language="de", shop="M" * 80, contact="W" * 120, adviser="Q" * 80)
    names = [f"Verstärker mit langem Namen Nummer {index}" for index in range(9)]
    body.pop("amplifier")
    body["amplifiers"] = [{"name": name, "power_w": 5, "kind": "single_ended_triode"} for name in names]
    document = pdf(client, body)
    assert len(document.pages) == 2
    for page in document.pages:
        right_mm = rightmost_mm(page)
        assert right_mm < 210 - 14
    last = text_on(document.pages[1:])
    assert catalogue("de")["sheet.limits"] in last


@pytest.mark.parametrize(
    ("details", "pointer", "code"),
    [
        ({"date": "2026-02-30"}, "/sheet/date", "not_a_date"),
        ({"date": "25.11.2026"}, "/sheet/date", "not_a_date"),
        ({"paper": "a5"}, "/sheet/paper", "not_a_choice"),
        ({"shop": "x" * 81}, "/sheet/shop", "too_long"),
        ({"logo": "x"}, "/sheet/logo", "unknown_field"),
    ],
)
def test_details_that_will_not_do(client, details, pointer, code):
    for media_type in ("application/json", "application/pdf"):
        body = {**scene("visit_it_booms"), "sheet": details}
        response = client.post("/v1/advice", json=body, headers={"Accept": media_type})
        assert (response.status_code, response.mimetype) == (422, "application/problem+json")
        assert [(e["pointer"], e["code"]) for e in response.json["errors"]] == [(pointer, code)]


# as a resource --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("media_type", ["application/pdf", "text/html"])
def test_same_body_same_sheet(media_type):
    body = scene("phone_eight_watts")
    del body["sheet"]["date"]
    first, second = (sheet(create_app().test_client(), body, media_type).data for _ in range(2))
    assert first == second


@pytest.mark.parametrize(
    ("accept", "media_type"),
    [
        (None, "application/json"),
        ("*/*", "application/json"),
        ("application/*", "application/json"),
        ("application/json, application/pdf;q=0.5", "application/json"),
        ("application/pdf", "application/pdf"),
        ("text/html,application/xhtml+xml;q=0.9,*/*;q=0.8", "text/html"),
        ("text/*", "text/html"),
        ("application/json;q=0, application/pdf", "application/pdf"),
    ],
)
def test_the_accept_header_chooses(client, accept, media_type):
    """RFC 9110, 12.5.1: quality values, and what a request without the header means."""
    headers = {} if accept is None else {"Accept": accept}
    for _ in range(2):  # computed, and kept
        response = client.post("/v1/advice", json=scene("phone_eight_watts"), headers=headers)
        assert (response.status_code, response.mimetype) == (200, media_type)
        assert response.data.startswith(BEGINS[media_type])
        assert response.headers["Vary"] == "Accept"


def test_406_where_no_form_will_do(client):
    response = client.post("/v1/advice", json=scene("phone_eight_watts"), headers={"Accept": "image/png"})
    assert (response.status_code, response.mimetype) == (406, "application/problem+json")
    assert "application/pdf" in response.json["detail"]
    assert response.json["type"] == "/docs#no-such-form"


def test_the_page_loads_and_runs_nothing(client):
    response = sheet(client, scene("visit_it_booms"), "text/html")
    text = response.get_data(as_text=True)
    style = re.search(r"<style>(.*?)</style>", text, re.DOTALL)[1]
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = response.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; style-src ")
    assert f"'sha256-{digest}'" in policy
    assert not re.search(r"\b(src|href|url)\s*[=(]", text)
    assert response.headers["Content-Disposition"] == 'inline; filename="advice.html"'


def test_drawings_say_what_they_show(client):
    body = scene("visit_it_booms", language="de")
    svgs = [a for tag, a in Page(sheet(client, body, "text/html").text).elements if tag == "svg"]
    best = client.post("/v1/advice", json=body).json["placement"]["placements"][0]
    assert len(svgs) == 5  # plan, curve, three resonances
    assert all(svg["role"] == "img" and svg["aria-label"] for svg in svgs)
    assert f"{best['tape_measure'][0]['cm']:.0f} cm" in svgs[0]["aria-label"]
