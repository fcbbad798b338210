"""Surfaces, furniture and people as absorption by octave, from the table of materials."""

import difflib
from dataclasses import dataclass, replace

import numpy as np

from service.domain.errors import DomainError
from service.domain.words import words
from service.physics.bands import OCTAVE_NOMINAL_HZ, octave_midbands_hz
from service.physics.room.admittance import absorption_from_admittance, interpolated_absorption, porous_slope
from service.tables.loader import materials

_PERSON = "person_seated"
_WHOLE = "absorption_coefficient"


@dataclass(frozen=True, kw_only=True)
class Patch:
    """A part of a surface: wall index, area, absorption by octave (8,), and how it falls below its first known
    octave."""

    wall: int
    area_m2: float
    absorption: np.ndarray
    name: str
    slope_below: float = 0.0
    first_known: int = 0
    admittance_ratio: float | None = None


@dataclass(frozen=True, kw_only=True)
class FilledOctaves:
    """Values at the eight octaves, gaps filled; below octave number `first_known` they fall with `slope_below`."""

    values: np.ndarray
    slope_below: float
    first_known: int


def material(identifier, *, pointer):
    """Return a row of the table, or refuse with the nearest known name."""
    try:
        return materials()[identifier]
    except KeyError:
        near = difflib.get_close_matches(identifier, materials(), n=1)
        raise DomainError(
            pointer=pointer,
            code="unknown_material",
            detail=words("refusals_room.unknown_material", quoted=repr(identifier)),
            given=identifier,
            allowed=sorted(materials()),
            did_you_mean=near[0] if near else None,
        ) from None


def by_octave_with_gaps(octaves, values, *, porous):
    """Return values at the eight octaves, gaps filled.

    Parameters
    ----------
    octaves : sequence of int
        Nominal octaves that have a value, rising. [Hz]
    values : sequence of float
        Absorption there: coefficients or areas. [-, m2]
    porous : bool
        Whether the absorption falls towards low frequency below the first octave. [-]

    Returns
    -------
    FilledOctaves

    Notes
    -----
    Linear in lg f between the given octaves, held above the last. Below the first it is held for hard surfaces,
    panels and glass, and falls with the slope between 125 and 250 Hz for porous ones.
    """
    midbands = octave_midbands_hz()
    index = [OCTAVE_NOMINAL_HZ.index(octave) for octave in octaves]
    values = np.asarray(values, dtype=float)
    slope = 0.0
    known = dict(zip(octaves, values, strict=True))
    if porous and known.get(125, 0) > 0 and known.get(250, 0) > 0:
        slope = float(porous_slope(absorption_250=min(known[250], 1.0), absorption_125=min(known[125], 1.0)))
    filled = interpolated_absorption(
        midbands, octave_midbands_hz=midbands[index], absorption_coefficients=np.minimum(values, 1.0), slope_below=slope
    )
    return FilledOctaves(values=filled, slope_below=slope, first_known=index[0])


def _of_material(row):
    octaves = [octave for octave, value in zip(OCTAVE_NOMINAL_HZ, row.by_octave, strict=True) if value is not None]
    values = [value for value in row.by_octave if value is not None]
    if row.unit == _WHOLE:
        return by_octave_with_gaps(octaves, values, porous=row.falls_below_lowest_band)
    # areas of objects may exceed 1 m2: scaled into 0..1 for the interpolation and back
    largest = max(values)
    filled = by_octave_with_gaps(octaves, [value / largest for value in values], porous=row.falls_below_lowest_band)
    return replace(filled, values=filled.values * largest)


def patch_of(part, *, area_m2, wall, surface):
    """Return a part of a surface with its absorption by octave.

    Parameters
    ----------
    part : SurfacePart
        As told. [-]
    area_m2 : float
        Its area. [m2]
    wall : int
        Index of its surface. [-]
    surface : Surface
        What it is a part of. [-]
    """
    admittance = None
    if part.material is not None:
        row = material(part.material, pointer=surface.at)
        if row.unit != _WHOLE:
            raise DomainError(
                pointer=surface.at,
                code="not_a_surface",
                detail=words("refusals_room.not_a_surface", material=row.id),
                given=row.id,
                allowed=words("refusals_room.not_a_surface.allowed"),
            )
        filled = _of_material(row)
    elif part.absorption_by_octave is not None:
        octaves, values = zip(*sorted(part.absorption_by_octave), strict=True)
        filled = by_octave_with_gaps(octaves, values, porous=False)
    else:
        admittance, everywhere = part.admittance_ratio, part.absorption_coefficient
        everywhere = float(absorption_from_admittance(admittance)) if everywhere is None else everywhere
        filled = FilledOctaves(values=np.full(8, everywhere), slope_below=0.0, first_known=0)
    return Patch(
        wall=wall,
        area_m2=area_m2,
        absorption=filled.values,
        name=part.material or "absorption as told",
        slope_below=filled.slope_below,
        first_known=filled.first_known,
        admittance_ratio=admittance,
    )


def object_absorption_m2(furniture, people):
    """Return the absorption area of furniture and people by octave, shape (8,). [m2]"""
    total = np.zeros(8)
    for piece in furniture:
        row = material(piece.material, pointer=piece.pointer("material"))
        measure, other = ("area_m2", "count") if row.unit == _WHOLE else ("count", "area_m2")
        amount = piece.area_m2 if measure == "area_m2" else piece.count
        if amount is None:
            raise DomainError(
                pointer=piece.at,
                code="wrong_measure",
                detail=words("refusals_room.wrong_measure", material=row.id, measure=measure),
                given=other,
                allowed=words(f"refusals_room.wrong_measure.{measure}"),
            )
        total += _of_material(row).values * amount
    if people:
        total += _of_material(materials()[_PERSON]).values * people
    return total


def surface_absorption(identifier):
    """Return the absorption of a surface material of the table by octave (8,)."""
    return _of_material(materials()[identifier]).values
