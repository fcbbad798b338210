"""The page in a real browser: what it shows is what the service answers, whatever is typed, chosen or dragged."""

import json
import statistics

import pytest
import requests
from playwright.sync_api import expect

from tests.browser.visits import TIMEOUT_S

PHONE = {"width": 390, "height": 844}


def example(visit):
    return requests.get(f"{visit.address}page/example.json", timeout=TIMEOUT_S).json()


def settled(page):
    """Wait until the whole answer to the last change is on the page."""
    last = "['changed', 'answered'].map(name => performance.getEntriesByName(name).at(-1)?.startTime ?? 0)"
    for _ in range(200):
        changed, answered = page.evaluate(last)
        if 0 < changed < answered:
            return
        page.wait_for_timeout(50)
    raise AssertionError("no answer to the last change")


def centre(page, selector):
    box = page.locator(selector).bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def caption_expected(body, answer):
    """What the caption says of the curve: loudest and softest against the average, from the lowest note up."""
    lowest_hz = answer["inputs"]["speaker"]["low_limit_hz"]
    field = answer["response"]
    points = [(hz, db) for hz, db in zip(field["frequency_hz"], field["gain_db"], strict=True) if hz >= lowest_hz]
    average = statistics.fmean(db for _, db in points)
    loud, soft = max(points, key=lambda p: p[1]), min(points, key=lambda p: p[1])

    def said(point):
        db = round(abs(point[1] - average))
        return f"{point[0]:.0f} Hz ({'−' if point[1] < average else '+'}{db} dB)"

    return f"loudest at {said(loud)}, softest at {said(soft)}"


def test_it_opens_with_an_example_that_is_answered(visit):
    page = visit.open()
    answer = visit.answer(example(visit))
    expect(page.locator("#whose-label")).to_have_text("Example: not your room")
    expect(page.locator("#headline")).to_have_text(answer["verdict"]["headline"])
    first = page.locator("main > *:visible").evaluate_all("nodes => nodes.map(node => node.id)")
    order = ["whose", "verdict", "facts", "next", "place", "reasons", "assumed", "care", "keep", "more"]
    assert [name for name in first if name in order] == order
    assert caption_expected(example(visit), answer) in page.locator("#curve figcaption").inner_text()


def test_dragging_a_speaker_moves_curve_and_numbers_to_what_the_service_says(visit):
    page = visit.open()
    page.locator("#plan").scroll_into_view_if_needed()
    before = page.locator("svg.curve .line.today").get_attribute("d")
    x, y = centre(page, "[data-handle=speaker-0]")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 10, y + 30, steps=10)
    page.wait_for_timeout(100)
    assert page.evaluate("performance.getEntriesByName('curve').length") >= 2, "the curve follows while it is held"
    assert page.locator("svg.curve .line.today").get_attribute("d") != before
    page.mouse.up()
    settled(page)
    posted = visit.posted()
    left, right = posted["positions"]["speakers"]
    assert left["x_m"] > 0.8
    assert left["x_m"] == right["x_m"], "both speakers move"
    assert left["y_m"] + right["y_m"] == pytest.approx(4.1), "mirrored about the room's axis"
    assert "as_found" not in posted
    assert "listening_distance_m" not in posted
    answer = visit.answer(posted)
    assert caption_expected(posted, answer) in page.locator("#curve figcaption").inner_text()
    expect(page.locator("#headline")).to_have_text(answer["verdict"]["headline"])
    reserve = page.locator("#levels dt:text-is('In reserve') + dd")
    assert reserve.text_content() == f"{answer['level']['headroom_db']:.1f} dB"


def test_the_curve_during_a_drag_is_that_of_the_coordinates(visit):
    page = visit.open()
    bodies = []
    page.on("request", lambda r: r.url.endswith("v1/response") and bodies.append(r.post_data_json))
    page.locator("[data-handle=seat-0]").focus()
    page.keyboard.press("ArrowUp")
    settled(page)
    answer = visit.answer(bodies[-1], "v1/response")
    whole = visit.answer(visit.posted())
    assert answer["seats"][0]["gain_db"] == pytest.approx(whole["response"]["gain_db"], abs=0.01)


def test_arrow_keys_move_by_one_and_ten_centimetres(visit):
    page = visit.open()
    page.locator("[data-handle=seat-0]").focus()
    page.keyboard.press("ArrowUp")
    settled(page)
    start = visit.posted()["positions"]["seats"][0]
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Shift+ArrowRight")
    settled(page)
    seat = visit.posted()["positions"]["seats"][0]
    assert seat["x_m"] - start["x_m"] == pytest.approx(0.01)
    assert seat["y_m"] - start["y_m"] == pytest.approx(0.10)
    assert page.evaluate("document.activeElement.dataset.handle") == "seat-0"
    page.locator("[data-handle=back-wall]").focus()
    page.keyboard.press("Shift+ArrowDown")
    settled(page)
    assert visit.posted()["room"]["length_m"] == pytest.approx(5.5)


def test_a_wrong_number_is_told_at_its_field(visit):
    page = visit.open()
    limits = {
        field["pointer"]: field
        for field in requests.get(f"{visit.address}v1/fields", timeout=TIMEOUT_S).json()["fields"]
    }["/speaker/sensitivity_db_1w_1m"]
    headline = page.locator("#headline").inner_text()
    box = page.locator("[data-fact=sensitivity] input")
    box.fill("300")
    box.press("Enter")
    fault = page.locator("[data-fact=sensitivity] .fault")
    expect(fault).to_contain_text(f"{limits['minimum']:g} dB to {limits['maximum']:g} dB")
    expect(box).to_have_attribute("aria-invalid", "true")
    assert page.locator("#headline").inner_text() == headline
    assert box.input_value() == "300"
    visit.errors.clear()  # the browser logs the refused request
    box.fill("ninety")
    box.press("Enter")
    expect(fault).to_contain_text("not a number")
    box.fill("92")
    box.press("Enter")
    expect(fault).to_be_empty()
    expect(page.locator("#headline")).not_to_have_text(headline)


def test_a_service_that_goes_away_is_said_and_nothing_is_lost(visit):
    page = visit.open()
    page.context.set_offline(True)
    box = page.locator("[data-fact=power] input")
    box.fill("3")
    box.press("Enter")
    expect(page.locator("#gone")).to_contain_text("does not answer")
    assert box.input_value() == "3"
    assert visit.posted()["amplifier"]["power_w"] == 3
    page.context.set_offline(False)
    page.locator("#again").dispatch_event("click")  # it may have tried again by itself already
    expect(page.locator("#gone")).to_be_hidden()
    expect(page.locator("#headline")).to_contain_text("3 W")
    visit.errors.clear()
    visit.failed.clear()


def test_by_keyboard_alone_from_the_start_to_the_sheet(visit):
    page = visit.open()
    passed = []
    for _ in range(200):
        page.keyboard.press("Tab")
        passed.append(page.evaluate("document.activeElement.id || document.activeElement.getAttribute('data-handle')"))
        assert page.evaluate("document.activeElement !== document.body"), passed
        if passed[-1] == "sheet":
            break
    assert {"start-own", "shape", "speaker-0", "speaker-1", "seat-0", "back-wall", "use-proposal"} <= set(passed)
    with page.expect_download() as sheet:
        page.keyboard.press("Enter")
    assert sheet.value.path().read_bytes().startswith(b"%PDF")
    expect(page.locator("#status")).to_contain_text("sheet is made")


@pytest.mark.parametrize("viewport", [PHONE, {"width": 1366, "height": 768}], ids=["phone", "laptop"])
@pytest.mark.parametrize("locale", ["en-GB", "de-DE"])
def test_nothing_is_wider_than_the_screen(visiting, viewport, locale):
    page = visiting(viewport=viewport, locale=locale).open()
    for node in page.locator("details > summary").all():
        node.click() if node.is_visible() else None
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.locator("#units").select_option("imperial")
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_on_paper_the_reply_is_whole_and_has_no_buttons(visit):
    page = visit.open()
    page.emulate_media(media="print")
    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")
    assert page.locator("button:visible").count() == 0
    for caution in visit.answer(example(visit))["cautions"]:
        text = page.locator(f"#cautions [data-code={caution['code']}]").inner_text()
        assert " ".join(text.split()) == caution["text"]
    expect(page.locator("#plan svg")).to_be_visible()
    assert page.pdf(format="A4").startswith(b"%PDF")


def test_in_german(visiting):
    visit = visiting(locale="de-DE")
    page = visit.open()
    answer = visit.answer({**example(visit), "language": "de"})
    assert page.evaluate("document.documentElement.lang") == "de"
    expect(page.locator("#headline")).to_have_text(answer["verdict"]["headline"])
    expect(page.locator("[data-fact=length] input")).to_have_value("5,40")
    box = page.locator("[data-fact=power] input")
    box.fill("2,5")
    box.press("Enter")
    expect(page.locator("#headline")).to_contain_text("2,5 W")
    assert visit.posted()["amplifier"]["power_w"] == 2.5
    page.locator("#language").select_option("en")
    expect(page.locator("#headline")).to_contain_text("2.5 W")


def test_feet_and_inches_stay_in_the_page(visit):
    page = visit.open()
    page.locator("#units").select_option("imperial")
    box = page.locator("[data-fact=length] input")
    expect(box).to_have_value("17 ft 8½ in")  # 5.40 m / 0.0254 m = 212.6 in, to the nearest half 212.5
    box.fill("18'")
    box.press("Enter")
    settled(page)
    assert visit.posted()["room"]["length_m"] == pytest.approx(18 * 12 * 0.0254)  # 5.4864 m
    assert "18 ft 0 in" in " ".join(page.locator("#plan svg").text_content().split())


def test_an_assumption_is_answered_in_place_and_is_known_then(visit):
    page = visit.open()
    row = "#assumptions [data-pointer='/speaker/long_term_power_w']"
    page.locator(f"{row} button").click()
    page.locator(f"{row} input").fill("25")
    page.locator(f"{row} input").press("Enter")
    settled(page)
    assert page.locator(row).count() == 0
    assert visit.posted()["speaker"]["long_term_power_w"] == 25
    known = page.locator("#known [data-pointer='/speaker/long_term_power_w']")
    expect(known).to_contain_text("25 W")
    known.locator("button").click()
    expect(page.locator(row)).to_be_visible()


def test_the_best_question_is_answered_in_place(visit):
    page = visit.open()
    question = page.locator("#questions > .question")
    assert question.get_attribute("data-about") == visit.answer(example(visit))["ask_next"][0]["about"]
    question.locator("input").fill("81")
    question.locator("button").click()
    settled(page)
    posted = visit.posted()
    assert posted["listening_level_dba"] == 81
    assert "listening" not in posted, "the reading stands in place of the word"
    page.locator("#known [data-pointer='/listening_level_dba'] button").click()
    settled(page)
    question.locator("select").select_option("loud")
    question.locator("button").click()
    settled(page)
    assert visit.posted()["listening"] == "loud"


def test_the_proposal_is_put_on_the_plan(visit):
    page = visit.open()
    best = visit.answer(example(visit))["placement"]["placements"][0]
    page.locator("#use-proposal").click()
    settled(page)
    posted = visit.posted()["positions"]
    assert [place["x_m"] for place in posted["speakers"]] == pytest.approx(
        [p["x_m"] for p in best["speakers"]], abs=0.006
    )
    assert posted["seats"][0]["x_m"] == pytest.approx(best["seats"][0]["x_m"], abs=0.006)


def test_without_watts_the_answer_is_the_power_needed(visit):
    page = visit.open()
    box = page.locator("[data-fact=power] input")
    box.fill("")
    box.press("Enter")
    settled(page)
    assert "amplifier" not in visit.posted()
    expect(page.locator("#headline")).to_have_text(visit.answer(visit.posted())["verdict"]["headline"])


def test_another_amplifier_is_compared_in_words(visit):
    page = visit.open()
    expect(page.locator("#ranking li")).to_have_count(1)
    page.locator("#another summary").click()
    page.locator("#another input").first.fill("<b>Birch</b>")
    page.locator("#another input").nth(1).fill("0.1")
    page.locator("#another button").click()
    settled(page)
    posted = visit.posted()
    assert posted["amplifiers"] == [posted["amplifier"], {"name": "<b>Birch</b>", "power_w": 0.1}]
    ranking = visit.answer(posted)["match"]["ranking"]
    rows = page.locator("#ranking li").all_inner_texts()
    words = {"suits_well": "suits well", "suits": "suits", "suits_with_care": "suits with care"}
    for row, entry in zip(rows, ranking, strict=True):
        assert row.startswith(f"{entry['name']}: {words.get(entry['grade'], 'does not suit')}.")
        assert any(finding["text"] in row for finding in entry["findings"])
    box = page.locator("[data-fact=power] input")
    box.fill("12")
    box.press("Enter")
    settled(page)
    assert [each["power_w"] for each in visit.posted()["amplifiers"]] == [12, 0.1], "the first follows the sentence"


def test_a_floor_area_alone_is_enough(visit):
    page = visit.open()
    page.locator("#shape").click()
    settled(page)
    assert visit.posted()["room"]["floor_area_m2"] == pytest.approx(22.1)  # 5.4 x 4.1 = 22.14
    expect(page.locator("#place")).to_be_hidden()
    expect(page.locator("#findings [data-code=needs_length_and_width]")).to_be_visible()
    page.locator("#shape").click()
    expect(page.locator("#place")).to_be_visible()
    # the sides in the ratio that the service took: sqrt(22.1 x 1.3) = 5.36, 22.1 / 5.36 = 4.12
    sides = visit.posted()["room"]
    assert (sides["length_m"], sides["width_m"]) == pytest.approx((5.36, 4.12))


def test_the_link_and_the_file_carry_the_request(visiting, tmp_path):
    visit = visiting()
    page = visit.open()
    box = page.locator("[data-fact=power] input")
    box.fill("5")
    box.press("Enter")
    settled(page)
    with page.expect_download() as saved:
        page.locator("#save").click()
    body = json.loads(saved.value.path().read_text(encoding="utf-8"))
    assert body == visit.posted()
    assert visit.answer(body)
    other = visiting()
    assert page.url.split("#")[1]
    opened = other.open("#" + page.url.split("#")[1])
    expect(opened.locator("#headline")).to_have_text(page.locator("#headline").inner_text())
    third = visiting()
    file = tmp_path / "room.json"
    file.write_text(json.dumps({**body, "amplifier": {"power_w": 6}}), encoding="utf-8")
    tab = third.open()
    tab.locator("#file").set_input_files(file)
    expect(tab.locator("#headline")).to_contain_text("6 W")
    file.write_text("[1", encoding="utf-8")
    tab.locator("#file").set_input_files(file)
    expect(tab.locator("#status")).to_contain_text("no facts of a room")


def test_the_own_room_comes_back(visit):
    page = visit.open()
    page.locator("#start-own").click()
    box = page.locator("[data-fact=sensitivity] input")
    assert box.evaluate("node => node === document.activeElement")
    box.fill("101")
    box.press("Enter")
    settled(page)
    page.goto("about:blank")
    page = visit.open()
    expect(page.locator("[data-fact=sensitivity] input")).to_have_value("101")
    expect(page.locator("#whose-label")).to_contain_text("own room")


def test_a_link_that_cannot_be_answered_is_put_right_on_the_page(visit):
    page = visit.page
    page.goto(visit.address + '#{"speaker":{"sensitivity_db_1w_1m":300},"room":{"length_m":5}}')
    expect(page.locator("[data-fact=sensitivity] .fault")).not_to_be_empty()
    for name, value in {"sensitivity": "95", "width": "4", "distance": "2.5"}.items():
        page.locator(f"[data-fact={name}] input").fill(value)
    page.keyboard.press("Enter")
    expect(page.locator("#headline")).to_be_visible()
    expect(page.locator("#plan svg")).to_be_visible()
    visit.errors.clear()  # the browser logs the refused requests


def test_a_chair_outside_the_room_is_told_at_the_distance_that_put_it_there(visit):
    page = visit.open()
    box = page.locator("[data-fact=distance] input")
    box.fill("14")
    box.press("Enter")
    expect(page.locator("[data-fact=distance] .fault")).to_contain_text("outside the room")
    visit.errors.clear()  # the browser logs the refused request


def test_what_a_link_carries_stays_text(visit):
    evil = "<img src=x onerror=alert(1)>"
    body = {**example(visit), "note": evil, "speaker": {"sensitivity_db_1w_1m": 98, evil: evil}}
    page = visit.page
    page.goto(f"{visit.address}#{json.dumps(body).replace('%', '%25')}")
    expect(page.locator("#other-faults")).to_be_visible()
    expect(page.locator("#other-faults")).to_contain_text(evil)
    assert page.locator("img").count() == 0
    visit.errors.clear()
