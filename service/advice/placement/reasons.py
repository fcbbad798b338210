"""Why a place wins: the resonances that it drives or hears less than another place does, the gap that it fills."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from service.advice.answers.common import Finding
from service.advice.placement import policy
from service.advice.placement.merit import axes_of
from service.domain.words import words
from service.physics.placement import merit
from service.physics.placement.search import Setting
from service.physics.room.modes import mode_frequencies_hz, mode_orders
from service.physics.room.wave_field import pressure_ratio

_ALONG = ("length", "width", "height")
_SMALL_GAP_DB = 1.0


@dataclass(frozen=True, kw_only=True)
class Avoided:
    """A resonance that the winner avoids: the axes of its mode in the frame, and whether speakers or chair avoid it."""

    frequency_hz: float
    along: str
    by: str


@dataclass(frozen=True, kw_only=True)
class Places:
    """Places in the room that are compared: speakers (n, 3), leading seat (3,), and where the speakers face (n,)."""

    speakers_m: np.ndarray
    lead_m: np.ndarray
    facing_rad: np.ndarray


def avoided_modes(setting: Setting, winner: Places, other: Places, *, front_wall: str) -> list[Avoided]:
    """Return the resonances that the winner hardly excites or hardly hears and the other place does, strongest first.

    Parameters
    ----------
    setting : Setting
        Of the room itself, with the front wall in front. [-]
    winner, other : Places
        [-]
    front_wall : str
        Wall behind the winner's speakers. [-]
    """
    room_m = setting.box.dimensions_m
    box_m = dict(zip(("length_m", "width_m", "height_m"), room_m, strict=True))
    common = {**box_m, "speed_of_sound_m_s": setting.speed_of_sound_m_s}
    orders = mode_orders(to_hz=policy.WHY_MODES_UP_TO_HZ, **common)
    if not len(orders):
        return []
    frequency_hz = mode_frequencies_hz(orders, **common)
    kept = (frequency_hz >= setting.bands.low_hz) & (np.count_nonzero(orders, axis=1) <= 2)
    orders, frequency_hz = orders[kept], frequency_hz[kept]
    if not len(orders):
        return []
    here, there = (_coupling(orders, places, room_m=room_m, dipole=setting.dipole) for places in (winner, other))
    less = there[0] * there[1] - here[0] * here[1]
    hardly = here.min(axis=0) <= policy.WHY_HARDLY
    order = np.argsort(-less, kind="stable")
    chosen = [n for n in order if less[n] >= policy.WHY_COUPLING_LESS and hardly[n]][: policy.WHY_MODES]
    return [
        Avoided(
            frequency_hz=float(frequency_hz[n]),
            along=_along(orders[n], across=front_wall in ("left_wall", "right_wall")),
            by="speakers" if here[0][n] <= here[1][n] else "chair",
        )
        for n in sorted(chosen, key=lambda n: frequency_hz[n])
    ]


def _coupling(orders: np.ndarray, places: Places, *, room_m: Sequence[float], dipole: bool) -> np.ndarray:
    """How strongly speakers drive each mode of rigid walls, and how strongly the seat hears it, (2, modes), 0 to 1."""
    k = np.pi * orders / np.asarray(room_m)
    speakers_m = places.speakers_m
    if dipole:
        axes = axes_of(places.facing_rad, dipole=True)
        shapes, slopes = np.cos(k * speakers_m[:, None]), -np.sin(k * speakers_m[:, None]) * k
        total = sum(
            axes[:, a, None] * slopes[..., a] * np.delete(shapes, a, axis=2).prod(axis=2) for a in range(3)
        ) / np.linalg.norm(k, axis=1)
    else:
        total = np.cos(k * speakers_m[:, None]).prod(axis=2)
    return np.array([np.abs(total.mean(axis=0)), np.abs(np.cos(k * places.lead_m).prod(axis=1))])


def _along(orders: np.ndarray, *, across: bool) -> str:
    """The axes of a mode as the listener sees them: length is from the wall behind the speakers to the one behind."""
    axes = [_ALONG[1 - axis if across and axis < 2 else axis] for axis in range(3) if orders[axis]]
    return "_and_".join(sorted(axes, key=_ALONG.index))


def filled_gap(setting: Setting, as_found: Places, winner: Places) -> tuple[float, float, float] | None:
    """Return the frequency of the deepest gap of the present place and its depth there and at the winner.

    Parameters
    ----------
    setting : Setting
        Of the room itself, with the front wall in front. [-]
    as_found, winner : Places
        [-]

    Returns
    -------
    tuple of float or None
        Frequency, depth as found and depth of the winner; None where the gap is not filled. [Hz, dB, dB]
    """
    before, after = (_deviations_db(setting, places) for places in (as_found, winner))
    band = int(before.argmin())
    if after[band] - before[band] < policy.WHY_GAP_FILLED_DB or before[band] > -merit.DIP_FROM_DB:
        return None
    return float(setting.bands.midbands_hz[band]), -float(before[band]), -float(after[band])


def _deviations_db(setting: Setting, places: Places) -> np.ndarray:
    field = pressure_ratio(
        setting.box,
        sources_m=places.speakers_m,
        axes=axes_of(places.facing_rad, dipole=setting.dipole),
        seats_m=places.lead_m[None],
    )[0].sum(axis=0)
    levels_db = 10 * np.log10(merit.band_means(np.abs(field) ** 2, bands=setting.bands))
    slope = float(merit.bass_parts(levels_db, bands=setting.bands).slope_db_per_octave)
    octaves = np.log2(setting.bands.midbands_hz)
    return levels_db - levels_db.mean() - slope * (octaves - octaves.mean())


def why_finding(modes: Sequence[Avoided], gap: tuple[float, float, float] | None) -> Finding | None:
    """Return the finding that says why a place wins, or None where nothing stands out.

    Parameters
    ----------
    modes : sequence of Avoided
        [-]
    gap : tuple of float or None
        From `filled_gap`. [Hz, dB, dB]
    """
    phrases = [words(f"findings.why.{mode.by}", along=mode.along, frequency_hz=mode.frequency_hz) for mode in modes]
    values: dict[str, object] = {"resonances_hz": [mode.frequency_hz for mode in modes]}
    if gap is not None:
        frequency_hz, before_db, after_db = gap
        values |= {"gap_hz": frequency_hz, "gap_as_found_db": before_db, "gap_here_db": after_db}
        key = "gap" if after_db >= _SMALL_GAP_DB else "gap_gone"
        phrases.append(words(f"findings.why.{key}", frequency_hz=frequency_hz, before_db=before_db, after_db=after_db))
    if not phrases:
        return None
    return Finding(code="why_here", grade=None, text=words("findings.why_here", because=phrases), values=values)
