"""What the page weighs, how soon its first answer is on the screen, and how often the curve follows a drag.

Run with `python -m pytest tests/benchmarks/test_page.py -o addopts= -s`. Times are printed, never asserted: machines
differ. The weight is the same everywhere and is asserted.
"""

import statistics

WEIGHT_BUDGET_BYTES = 400_000
FIRST_ANSWER_BUDGET_MS = 1000
UPDATES_BUDGET_HZ = 20
DRAG_STEPS = 120

_WEIGHT = """
[...performance.getEntriesByType("navigation"), ...performance.getEntriesByType("resource")]
  .reduce((sum, each) => sum + each.encodedBodySize, 0)
"""


def test_weight_and_first_answer(visiting):
    first_ms, whole_ms = [], []
    for _ in range(5):
        page = visiting().open()
        times = page.evaluate("['verdict', 'answered'].map(name => performance.getEntriesByName(name)[0].startTime)")
        first_ms.append(times[0])
        whole_ms.append(times[1])
    weight_bytes = page.evaluate(_WEIGHT)
    print(
        f"\npage: {weight_bytes / 1000:.0f} kB (budget {WEIGHT_BUDGET_BYTES / 1000:.0f}); first answer after "
        f"{statistics.median(first_ms):.0f} ms (budget {FIRST_ANSWER_BUDGET_MS}), the first visitor {first_ms[0]:.0f} "
        f"ms; whole answer {statistics.median(whole_ms):.0f} ms"
    )
    assert weight_bytes < WEIGHT_BUDGET_BYTES


def test_updates_while_dragging(visiting):
    page = visiting().open()
    page.locator("#plan").scroll_into_view_if_needed()
    box = page.locator("[data-handle=speaker-0]").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(DRAG_STEPS):
        page.mouse.move(x + step / 8, y + step / 2)
    page.mouse.up()
    marks = page.evaluate("performance.getEntriesByName('curve').map(mark => mark.startTime)")
    page.wait_for_timeout(1500)
    let_go, answered = page.evaluate(
        "['changed', 'answered'].map(name => performance.getEntriesByName(name).at(-1).startTime)"
    )
    rate_hz = (len(marks) - 1) / (marks[-1] - marks[0]) * 1000
    print(
        f"\nbass curve while dragging: {rate_hz:.0f} updates a second (budget {UPDATES_BUDGET_HZ}); the rest "
        f"{answered - let_go:.0f} ms after letting go (budget 500)"
    )
    assert len(marks) > 2
