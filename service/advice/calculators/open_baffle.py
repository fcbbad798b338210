"""Open baffle: where its bass falls, what flat bass needs, which sizes reach a wanted frequency."""

import numpy as np

from service.advice import policy
from service.advice.answers.open_baffle import (
    BaffleCurveAnswer,
    BaffleLimitAnswer,
    BaffleSizeAnswer,
    FlatBassAnswer,
    OpenBaffleAnswer,
)
from service.advice.assumptions import Assumptions
from service.advice.findings.cautions import caution
from service.advice.findings.finding import finding
from service.advice.room.model import air_of
from service.domain.open_baffle import BaffleDriver
from service.domain.words import words
from service.physics.checks import OutOfRangeError
from service.physics.loudspeaker import low_end, open_baffle_size
from service.physics.loudspeaker import open_baffle as physics

_CURVE_HZ = np.geomspace(20.0, 1000.0, 69)
"""Twelve points an octave."""
_POINTS_OF_FLAT_BASS = 49
_LOSSES_DB = (3.0, 6.0, 10.0)


def open_baffle(request):
    """Answer POST /v1/open-baffle.

    Parameters
    ----------
    request : OpenBaffleRequest
        As told. [-]

    Returns
    -------
    OpenBaffleAnswer

    Notes
    -----
    On the axis, in the far field, without a room; a driver in the middle of a flat plate. A plate that stands on the
    floor counts with twice its height, by its mirror image.
    """
    assume = Assumptions()
    air = air_of(None, assume)
    told = request.driver or BaffleDriver()
    mirror = 2.0 if assume.take(request.pointer("stands_on_floor"), request.stands_on_floor) else 1.0
    driver = {
        "resonance_hz": assume.take(told.pointer("resonance_hz"), told.resonance_hz),
        "total_q": assume.take(told.pointer("total_q"), told.total_q),
    }
    sound = {"speed_of_sound_m_s": air.speed_of_sound_m_s}
    path_m = float(
        low_end.dipole_path_length_of_rectangle_m(width_m=request.width_m, height_m=mirror * request.height_m)
    )
    baffle = {"path_length_m": path_m, **driver, **sound}
    assume.add(None, {"radiation": "dipole"}, why=words("assumptions.plain_baffle"), source="ours")
    limits = [
        BaffleLimitAnswer(
            loss_db=loss_db,
            baffle_alone_hz=low_end.dipole_low_limit_hz(loss_db=loss_db, path_length_m=path_m, **sound),
            with_driver_hz=physics.open_baffle_low_limit_hz(loss_db=loss_db, **baffle),
        )
        for loss_db in _LOSSES_DB
    ]
    flat = _flat_bass(request, told, baffle, air, assume)
    wanted_hz = assume.take(request.pointer("wanted_hz"), request.wanted_hz)
    sizes = _sizes(request, wanted_hz=wanted_hz, mirror=mirror, driver=driver, sound=sound)
    baffle_db = low_end.dipole_baffle_gain_db(_CURVE_HZ, path_length_m=path_m, **sound)
    driver_db = physics.resonance_gain_db(_CURVE_HZ, **driver)
    return OpenBaffleAnswer(
        path_length_m=path_m,
        full_level_from_hz=air.speed_of_sound_m_s / (2 * path_m),
        limits=limits,
        curve=BaffleCurveAnswer(
            frequency_hz=_CURVE_HZ, baffle_db=baffle_db, driver_db=driver_db, level_db=baffle_db + driver_db
        ),
        flat_bass=flat,
        wanted_hz=wanted_hz,
        sizes=sizes,
        findings=_findings(request, limits, flat, told, sizes, wanted_hz),
        cautions=[caution("calculation")],
        assumptions=assume.listed(),
    )


def _flat_bass(request, told, baffle, air, assume):
    """Equaliser and travel for bass that is flat down to a frequency."""
    flat_hz = assume.take(request.pointer("flat_down_to_hz"), request.flat_down_to_hz)
    level_db = assume.take(request.pointer("level_db"), request.level_db)
    distance_m = assume.take(request.pointer("distance_m"), request.distance_m)
    highest_hz = max(_CURVE_HZ[-1], 2 * flat_hz)
    frequency_hz = np.geomspace(flat_hz, highest_hz, _POINTS_OF_FLAT_BASS)
    gain_db = open_baffle_size.equalisation_for_flat_db(frequency_hz, flat_down_to_hz=flat_hz, **baffle)
    most_gain_db = float(gain_db.max())
    travel = {"excursion_m": None, "excursion_at_lowest_m": None, "highest_level_db": None}
    suffices_from_hz = None
    if told.area_m2 is not None:
        needed_m = open_baffle_size.open_baffle_excursion_m(
            frequency_hz,
            level_db=level_db,
            distance_m=distance_m,
            driver_area_m2=told.area_m2,
            path_length_m=baffle["path_length_m"],
            air_density_kg_m3=air.density_kg_m3,
            speed_of_sound_m_s=air.speed_of_sound_m_s,
        )
        lowest_m = float(needed_m[0])
        travel = {
            "excursion_m": needed_m,
            "excursion_at_lowest_m": lowest_m,
            "highest_level_db": level_db + 20 * float(np.log10(told.peak_excursion_m / lowest_m)),
        }
        # the travel falls steadily with frequency
        enough = needed_m <= told.peak_excursion_m
        if enough.any():
            log_hz = np.interp(np.log(told.peak_excursion_m), np.log(needed_m[::-1]), np.log(frequency_hz[::-1]))
            suffices_from_hz = float(np.exp(log_hz))
    return FlatBassAnswer(
        flat_down_to_hz=flat_hz,
        most_gain_db=most_gain_db,
        most_power_ratio=10 ** (most_gain_db / 10),
        level_db=level_db,
        distance_m=distance_m,
        frequency_hz=frequency_hz,
        gain_db=gain_db,
        travel_suffices_from_hz=suffices_from_hz,
        **travel,
    )


def _sizes(request, *, wanted_hz, mirror, driver, sound):
    """Sizes of three shapes that are down by each loss at the wanted frequency."""
    shapes = dict.fromkeys((request.height_m / request.width_m, 1.0, 2.0))
    return [
        _size(wanted_hz, loss_db, shape, mirror=mirror, driver=driver, sound=sound)
        for loss_db in _LOSSES_DB
        for shape in shapes
    ]


def _size(wanted_hz, loss_db, shape, *, mirror, driver, sound):
    try:
        width_m = float(
            open_baffle_size.baffle_width_for_limit_m(
                frequency_hz=wanted_hz, loss_db=loss_db, height_to_width_ratio=mirror * shape, **driver, **sound
            )
        )
    except OutOfRangeError:  # the driver alone has lost more
        return BaffleSizeAnswer(loss_db=loss_db, height_to_width_ratio=shape, width_m=None, height_m=None)
    return BaffleSizeAnswer(loss_db=loss_db, height_to_width_ratio=shape, width_m=width_m, height_m=shape * width_m)


def _findings(request, limits, flat, told, sizes, wanted_hz):
    _, six, ten = limits
    found = [
        finding(
            "open_baffle_falls",
            width_m=request.width_m,
            height_m=request.height_m,
            six_db_hz=six.with_driver_hz,
            ten_db_hz=ten.with_driver_hz,
            baffle_alone_hz=six.baffle_alone_hz,
        )
    ]
    too_much = flat.most_gain_db > policy.MOST_EQUALISATION_DB
    found.append(
        finding(
            "open_baffle_equalised",
            variant="too_much" if too_much else None,
            flat_down_to_hz=flat.flat_down_to_hz,
            most_gain_db=flat.most_gain_db,
            most_power_ratio=flat.most_power_ratio,
        )
    )
    if told.area_m2 is not None:
        enough = told.peak_excursion_m >= flat.excursion_at_lowest_m
        found.append(
            finding(
                "open_baffle_travel",
                variant=None if enough else "short",
                level_db=flat.level_db,
                distance_m=flat.distance_m,
                flat_down_to_hz=flat.flat_down_to_hz,
                excursion_mm=1000 * flat.excursion_at_lowest_m,
                available_mm=1000 * told.peak_excursion_m,
                highest_level_db=flat.highest_level_db,
            )
        )
    like_told = [size for size in sizes if size.height_to_width_ratio == request.height_m / request.width_m]
    reach = next((size for size in like_told if size.loss_db == six.loss_db), None)
    if reach is None or reach.width_m is None:
        found.append(finding("open_baffle_driver_ends_first", wanted_hz=wanted_hz, loss_db=six.loss_db))
    else:
        found.append(
            finding(
                "open_baffle_size",
                wanted_hz=wanted_hz,
                loss_db=six.loss_db,
                width_m=reach.width_m,
                height_m=reach.height_m,
            )
        )
    return found
