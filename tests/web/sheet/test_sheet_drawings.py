"""The drawings of the sheet: to scale, and their points where the numbers say."""

import math
import re
from types import SimpleNamespace

import pytest
from fontTools.ttLib import TTFont

from service.advice.places.tape_measure import tape_measure
from service.domain.position import Place
from service.web.sheet.curves import axes_for, bass_curve, loud_and_quiet
from service.web.sheet.figures import turned_sides_m, turned_standing
from service.web.sheet.pdf_canvas import FONT_FILES
from service.web.sheet.plan import SCALES, Standing, laid_out_m, plan, scale_of
from service.web.sheet.shapes import Area, Disc, Label, Line, estimated_width_mm
from service.web.sheet.svg import to_svg

LENGTH_M, WIDTH_M = 5.4, 4.1
PAIR = Standing(speakers_m=((1.0, 0.9), (1.0, 3.2)), facing_deg=(30.0, -30.0), seats_m=((3.0, 2.05),))
# by hand: 100, 90, 100, 410 - 320 = 90, 320 - 90 = 230, 540 - 300 = 240, 205, and twice sqrt(200^2 + 115^2) = 230.7
BY_HAND_CM = (100, 90, 100, 90, 230, 240, 205, 230.7, 230.7)
NAMES = {"front": "front", "back": "back", "description": "a plan"}


def drawn(most_mm=(108.0, 130.0), *, main=PAIR, today=None, length_m=LENGTH_M, width_m=WIDTH_M):
    count = len(laid_out_m(main, length_m=length_m, width_m=width_m))
    return plan(
        length_m=length_m,
        width_m=width_m,
        main=main,
        today=today,
        cabinet_m=(0.35, 0.4),
        distances=[f"d{index}" for index in range(count)],
        names=NAMES,
        most_mm=most_mm,
    )


def test_distances_in_the_order_of_the_list():
    ways = laid_out_m(PAIR, length_m=LENGTH_M, width_m=WIDTH_M)
    assert [100 * math.dist(*way) for way in ways] == pytest.approx(BY_HAND_CM, abs=0.05)


def test_distances_of_one_speaker():
    one = Standing(speakers_m=((1.0, 2.0),), facing_deg=(0.0,), seats_m=((4.0, 2.0),))
    ways = laid_out_m(one, length_m=LENGTH_M, width_m=WIDTH_M)
    assert [math.dist(*way) for way in ways] == pytest.approx([1.0, 2.0, 1.4, 2.0, 3.0])


def test_the_plan_is_to_scale():
    """A room 4.1 m wide at 1:50 is 82 mm wide; each dimension line is as long as its distance."""
    assert scale_of(length_m=LENGTH_M, width_m=WIDTH_M, most_mm=(108.0, 130.0)) == 50
    shapes = drawn().shapes
    walls = next(shape for shape in shapes if isinstance(shape, Area) and shape.width_mm > 0.5)
    (left, top), (right, _), (_, bottom), _ = walls.points
    assert (right - left, bottom - top) == pytest.approx((82.0, 108.0))
    thin = [shape for shape in shapes if isinstance(shape, Line) and shape.width_mm == 0.15]
    assert [math.dist(*line.points) for line in thin] == pytest.approx([cm / 5 for cm in BY_HAND_CM], abs=0.02)
    assert [line.dash_mm is not None for line in thin] == [False] * 7 + [True] * 2


@pytest.mark.parametrize("room_m", [(3.0, 2.0), (5.4, 4.1), (12.0, 9.0), (50.0, 30.0)])
@pytest.mark.parametrize("most_mm", [(108.0, 45.0), (108.0, 140.0)])
def test_it_fits_and_the_next_larger_scale_would_not(room_m, most_mm):
    length_m, width_m = room_m
    middle = Standing(speakers_m=((1.0, width_m / 3), (1.0, width_m * 2 / 3)), facing_deg=(0, 0), seats_m=((2, 1),))
    picture = drawn(most_mm, main=middle, length_m=length_m, width_m=width_m)
    assert picture.height_mm <= most_mm[1]
    assert picture.width_mm <= most_mm[0]
    scale = scale_of(length_m=length_m, width_m=width_m, most_mm=most_mm)
    if scale > SCALES[0]:
        larger = SCALES[SCALES.index(scale) - 1]
        assert 1000 * length_m / larger > most_mm[1] - 12 or 1000 * width_m / larger > most_mm[0] - 4


def test_nothing_lies_outside_the_paper():
    picture = drawn((60.0, 45.0), today=PAIR)
    for shape in picture.shapes:
        if isinstance(shape, Line | Area):
            assert all(-0.6 <= x <= picture.width_mm + 0.6 for x, _ in shape.points)
            assert all(-0.6 <= y <= picture.height_mm + 0.6 for _, y in shape.points)


def test_a_cabinet_faces_where_it_is_told():
    """0 degrees is away from the front wall, down the paper; the cabinet stands behind its baffle, above it."""
    straight = Standing(speakers_m=((2.0, 2.0),), facing_deg=(0.0,), seats_m=((4.0, 2.0),))
    cabinet = next(s for s in drawn(main=straight).shapes if isinstance(s, Area) and s.grey_ratio is not None)
    front, back = cabinet.points[:2], cabinet.points[2:]
    assert max(y for _, y in back) < min(y for _, y in front)
    to_the_right = Standing(speakers_m=((2.0, 2.0),), facing_deg=(90.0,), seats_m=((4.0, 2.0),))
    cabinet = next(s for s in drawn(main=to_the_right).shapes if isinstance(s, Area) and s.grey_ratio is not None)
    assert max(x for x, _ in cabinet.points[2:]) < min(x for x, _ in cabinet.points[:2])


def test_a_short_distance_has_its_number_alone():
    near = Standing(speakers_m=((1.0, 0.25), (1.0, 3.2)), facing_deg=(0.0, 0.0), seats_m=((3.0, 2.05),))
    texts = [shape.text for shape in drawn(main=near).shapes if isinstance(shape, Label)]
    assert "2" in texts
    assert "5: d4" in texts


HZ = (20.0, 40.0, 80.0, 160.0, 200.0)
CURVE_NAMES = {"main": "best", "today": "today", "hz": "Hz", "db": "dB", "below": "-", "description": "a curve"}


def curve(main_db, today_db=None, **more):
    options = {"low_limit_hz": None, "names": CURVE_NAMES, "width_mm": 180.0, "height_mm": 42.0, **more}
    return bass_curve(frequency_hz=HZ, main_db=main_db, today_db=today_db, **options)


def test_the_curve_goes_through_its_numbers():
    """An octave takes as much paper everywhere, 12 dB too: 40 Hz lies at lg 2 / lg 10 of the way from 20 to 200."""
    main_db, today_db = (3.0, -9.0, 6.0, 0.0, 1.0), (0.0, 0.0, 12.0, 0.0, 0.0)
    lines = [s for s in curve(main_db, today_db).shapes if isinstance(s, Line) and len(s.points) == len(HZ)]
    today, best = lines
    assert today.dash_mm is not None
    assert best.dash_mm is None
    xs = [x for x, _ in best.points]
    assert (xs[1] - xs[0]) / (xs[-1] - xs[0]) == pytest.approx(math.log10(2))
    assert [xs[2] - xs[1], xs[3] - xs[2]] == pytest.approx([xs[1] - xs[0]] * 2)
    per_db = (best.points[1][1] - best.points[2][1]) / 15
    assert per_db > 0
    for line, levels in ((best, main_db), (today, today_db)):
        assert [(line.points[0][1] - y) / per_db for _, y in line.points] == pytest.approx(
            [level - levels[0] for level in levels]
        )


def test_levels_are_written_where_they_are():
    axes = axes_for([(3.0, -9.0, 6.0, 0.0, 1.0)], frequency_hz=HZ, width_mm=180.0, height_mm=42.0)
    assert (axes.from_db, axes.to_db) == (-12, 12)
    labels = {shape.text: shape for shape in curve((3.0, -9.0, 6.0, 0.0, 1.0)).shapes if isinstance(shape, Label)}
    assert labels["\u221212"].y_mm - labels["12"].y_mm == pytest.approx(axes.y_mm(-12) - axes.y_mm(12))
    assert labels["100"].x_mm == pytest.approx(axes.x_mm(100))


def test_below_the_speakers_range_is_shaded():
    areas = [s for s in curve((0.0,) * 5, low_limit_hz=40.0).shapes if isinstance(s, Area) and s.grey_ratio is not None]
    axes = axes_for([(0.0,) * 5], frequency_hz=HZ, width_mm=180.0, height_mm=42.0)
    assert max(x for x, _ in areas[0].points) == pytest.approx(axes.x_mm(40.0))
    assert not [s for s in curve((0.0,) * 5).shapes if isinstance(s, Area) and s.grey_ratio is not None]


def test_a_mode_is_quiet_in_its_middle_and_loud_at_its_ends():
    """First mode along the length: cos(pi x / L), nothing at half the length."""
    picture = loud_and_quiet(
        length_m=LENGTH_M,
        width_m=WIDTH_M,
        half_waves=(1, 0),
        standing=PAIR,
        title="32 Hz",
        description="32 Hz",
        most_mm=(58.0, 44.0),
    )
    dots = [s for s in picture.shapes if isinstance(s, Disc) and s.grey_ratio not in (None, 1.0)]
    room = next(s for s in picture.shapes if isinstance(s, Area))
    middle = (room.points[0][1] + room.points[2][1]) / 2
    half = middle - room.points[0][1]
    largest = max(dot.radius_mm for dot in dots)
    assert all(dot.radius_mm < 0.35 * largest for dot in dots if abs(dot.y_mm - middle) < 0.15 * half)
    assert all(dot.radius_mm > 0.8 * largest for dot in dots if abs(dot.y_mm - middle) > 0.85 * half)


def test_svg_has_attributes_only_and_escapes():
    text = to_svg(drawn())
    assert 'viewBox="0 0 ' in text
    assert "style" not in text
    assert text.count("<text") == sum(isinstance(shape, Label) for shape in drawn().shapes)
    picture = loud_and_quiet(
        length_m=4,
        width_m=3,
        half_waves=(0, 1),
        standing=PAIR,
        title="<b>&",
        description='"<',
        most_mm=(58.0, 44.0),
    )
    assert "&lt;b&gt;&amp;" in to_svg(picture)
    assert not re.search(r"<b>", to_svg(picture))


def test_text_is_about_as_wide_as_estimated():
    """A plan decides by the estimate whether a label fits: it must not be far too small for digits and words."""
    with TTFont(FONT_FILES[""]) as font:
        glyphs, widths, em = font.getBestCmap(), font["hmtx"], font["head"].unitsPerEm
        for text in ("5: 233 cm", "Wand hinter den Lautsprechern", "10: 12 ft 11.5 in"):
            real_mm = sum(widths[glyphs[ord(c)]][0] for c in text) / em * 9 * 25.4 / 72
            assert 0.9 * real_mm < estimated_width_mm(text) < 1.4 * real_mm


PLACES = {
    # room 5 m by 4 m, a speaker at x 2, y 1 (2 m from the front wall, 1 m from the left wall), by hand: how far it is
    # from the wall in front of somebody, and from the wall at the left of somebody who faces that wall
    "front_wall": (2.0, 1.0),
    "back_wall": (3.0, 3.0),
    "left_wall": (1.0, 3.0),  # facing it, the back wall (x 5) is at the left
    "right_wall": (3.0, 2.0),  # facing it, the front wall (x 0) is at the left
}
AWAY_DEG = {"front_wall": 0.0, "back_wall": 180.0, "left_wall": 90.0, "right_wall": -90.0}
"""Direction away from each wall, from +x towards +y."""


@pytest.mark.parametrize("wall", PLACES)
def test_any_wall_may_be_in_front(wall):
    place = SimpleNamespace(x_m=2.0, y_m=1.0, facing_deg=AWAY_DEG[wall])
    seat = SimpleNamespace(x_m=2.5, y_m=2.0)
    placed = SimpleNamespace(speakers=[place], seats=[seat], bass=[place])
    seen = turned_standing(placed, sides_m=(5.0, 4.0), front_wall=wall)
    assert seen.speakers_m == (PLACES[wall],) == seen.bass_m
    assert seen.seats_m == ((2.5, 2.0) if wall in ("front_wall", "back_wall") else (2.0, 2.5),)
    assert math.cos(math.radians(seen.facing_deg[0])) == pytest.approx(1.0)
    assert turned_sides_m((5.0, 4.0), wall) == ((5.0, 4.0) if wall in ("front_wall", "back_wall") else (4.0, 5.0))


@pytest.mark.parametrize("bass_m", [(), ((0.5, 0.6), (0.5, 3.5)), ((0.4, 3.0),)])
@pytest.mark.parametrize("speakers", [1, 2])
@pytest.mark.parametrize("toed_in", [True, False])
def test_the_lines_are_those_of_the_tape_measure_list(bass_m, speakers, toed_in):
    """Number by number: the list is made elsewhere, with distances that no plan shows among the others."""
    places_m = PAIR.speakers_m[:speakers]
    facing_deg = (20.0, -20.0)[:speakers] if toed_in else (0.0,) * speakers
    standing = Standing(speakers_m=places_m, facing_deg=facing_deg, seats_m=PAIR.seats_m, bass_m=bass_m)
    marks = tape_measure(
        [Place(x_m=x, y_m=y, z_m=0.9, facing_deg=f) for (x, y), f in zip(places_m, facing_deg, strict=True)],
        [(*PAIR.seats_m[0], 1.0)],
        dimensions_m=(LENGTH_M, WIDTH_M, 2.5),
        cabinet_width_m=0.3,
        bass=[Place(x_m=x, y_m=y, z_m=0.3) for x, y in bass_m],
    )
    ways = laid_out_m(standing, length_m=LENGTH_M, width_m=WIDTH_M, count=len(marks))
    seen = [(100 * math.dist(*way), mark.cm) for way, mark in zip(ways, marks, strict=True) if way is not None]
    assert len(marks) - len(seen) == (speakers if toed_in else 0)
    assert [pair for pair in seen if abs(pair[0] - pair[1]) > 0.1] == []


@pytest.mark.parametrize(("facing_deg", "count"), [(0.0, 1), (30.0, 2), (-50.0, 2), (90.0, 1), (145.0, 1)])
def test_a_turned_cabinet_is_drawn_to_scale_with_right_angles(facing_deg, count):
    """At 1:50 a cabinet of 0.35 x 0.4 m is 7 x 8 mm; the middle of its front is the speaker's place, and the front
    looks where the speaker faces: down the paper is along the room, to the right across it."""
    places_m = ((2.0, 1.2), (2.0, 2.8))[:count]
    standing = Standing(speakers_m=places_m, facing_deg=(facing_deg,) * count, seats_m=((4.0, 2.0),))
    shapes = drawn(main=standing).shapes
    (left_mm, top_mm), *_ = next(s.points for s in shapes if isinstance(s, Area) and s.width_mm > 0.5)
    cabinets = [s.points for s in shapes if isinstance(s, Area) and s.grey_ratio is not None]
    fronts = [s.points for s in shapes if isinstance(s, Line) and s.width_mm == 0.9]
    ahead = (math.sin(math.radians(facing_deg)), math.cos(math.radians(facing_deg)))
    assert len(cabinets) == count
    for (x_m, y_m), corners, front in zip(places_m, cabinets, fronts, strict=True):
        sides = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(corners, [*corners[1:], corners[0]], strict=True)]
        assert [math.hypot(*side) for side in sides] == pytest.approx([7.0, 8.0, 7.0, 8.0])
        for one, next_one in zip(sides, [*sides[1:], sides[0]], strict=True):
            assert one[0] * next_one[0] + one[1] * next_one[1] == pytest.approx(0.0, abs=1e-9), "right angles"
        assert front == corners[:2]
        middle = [(a + b) / 2 for a, b in zip(*front, strict=True)]
        assert middle == pytest.approx([left_mm + 20 * y_m, top_mm + 20 * x_m])
        backwards = [side / 8.0 for side in sides[1]]
        assert backwards == pytest.approx([-ahead[0], -ahead[1]])
