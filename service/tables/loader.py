"""Reads the reference tables beside this file, once."""

import csv
import functools
import json
from pathlib import Path
from types import MappingProxyType

from service.domain.reference_data import (
    AmplifierKind,
    BackgroundKind,
    ListeningLevel,
    Material,
    Programme,
    Reference,
    RoomConstruction,
    RoomFurnishing,
    SpeakerKind,
    Spectrum,
)

_FOLDER = Path(__file__).parent


def _rows(name):
    with (_FOLDER / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _octaves(row):
    cells = [value for key, value in row.items() if key.startswith("octave_")]
    return tuple(float(cell) if cell else None for cell in cells)


@functools.cache
def references():
    """Return the sources, by key."""
    text = (_FOLDER / "references.json").read_text(encoding="utf-8")
    return MappingProxyType({key: Reference(key=key, **row) for key, row in json.loads(text).items()})


@functools.cache
def materials():
    """Return the absorbing materials, by id."""
    return MappingProxyType(
        {
            row["id"]: Material(
                id=row["id"],
                description=row["description"],
                unit=row["unit"],
                falls_below_lowest_band=row["below_lowest_band"] == "falls",
                by_octave=_octaves(row),
                sources=tuple(row["sources"].split(";")),
                status=row["status"],
                note=row["note"],
            )
            for row in _rows("materials.csv")
        }
    )


@functools.cache
def spectra():
    """Return the programme spectra, by id."""
    names = ("id", "description", "source", "why")
    return MappingProxyType(
        {
            row["id"]: Spectrum(
                **{name: row[name] for name in names},
                third_octave_levels_db=tuple(float(value) for key, value in row.items() if key not in names),
            )
            for row in _rows("spectra.csv")
        }
    )


@functools.cache
def programmes():
    """Return the kinds of programme, by id."""
    return MappingProxyType(
        {
            row["id"]: Programme(
                id=row["id"],
                name=row["name"],
                description=row["description"],
                average_level_db=float(row["average_level_db"]),
                crest_factor_db=float(row["crest_factor_db"]),
                spectrum=spectra()[row["spectrum"]],
                source=row["source"],
                why=row["why"],
            )
            for row in _rows("programmes.csv")
        }
    )


@functools.cache
def default_times_s():
    """Return the reverberation times of a furnished room of 44 m3, octaves 63 Hz to 8 kHz. [s]"""
    return tuple(float(row["reverberation_time_s"]) for row in _rows("default_times.csv"))


@functools.cache
def listening_levels():
    """Return how loud people listen, by id."""
    numbers = ("level_dba", "from_dba", "to_dba")
    return MappingProxyType(
        {
            row["id"]: ListeningLevel(**{**row, **{name: float(row[name]) for name in numbers}})
            for row in _rows("listening.csv")
        }
    )


@functools.cache
def room_constructions():
    """Return how rooms are built, by id. A row without times of its own has the default times."""
    texts = ("id", "background", "status", "source", "why", "note")
    numbers = ("middle_from_s", "middle_to_s", "height_m", "height_from_m", "height_to_m")
    return MappingProxyType(
        {
            row["id"]: RoomConstruction(
                by_octave_s=default_times_s() if None in _octaves(row) else _octaves(row),
                **{name: row[name] for name in texts},
                **{name: float(row[name]) for name in numbers},
            )
            for row in _rows("room_kinds.csv")
        }
    )


@functools.cache
def room_furnishings():
    """Return how rooms are furnished, by id."""
    return MappingProxyType(
        {
            row["id"]: RoomFurnishing(**{**row, "time_ratio": float(row["time_ratio"])})
            for row in _rows("furnishings.csv")
        }
    )


_UNITS = ("_hz", "_db", "_ohm", "_w", "_uv", "_mv", "_a", "_dba", "_ratio")
_WHOLE = ("low_order", "low_order_from", "low_order_to")
_YES_OR_NO = ("field_coil", "scales_with_tap")


def _value(name, cell):
    """A cell as number, whole number, truth or text, by the name of its column."""
    if name in _YES_OR_NO:
        return cell == "yes"
    if name in _WHOLE:
        return int(cell)
    if name.endswith(_UNITS):
        return float(cell) if cell else None
    return cell


@functools.cache
def speaker_kinds():
    """Return the kinds of loudspeaker, by id."""
    return MappingProxyType(
        {
            row["id"]: SpeakerKind(
                directivity_index_db=_octaves(row),
                standing=tuple(row["standing"].split(";")),
                **{
                    name: _value(name, cell)
                    for name, cell in row.items()
                    if name != "standing" and not name.startswith("octave_")
                },
            )
            for row in _rows("speaker_kinds.csv")
        }
    )


@functools.cache
def amplifier_kinds():
    """Return the kinds of amplifier, by id."""
    return MappingProxyType(
        {
            row["id"]: AmplifierKind(**{name: _value(name, cell) for name, cell in row.items()})
            for row in _rows("amplifier_kinds.csv")
        }
    )


@functools.cache
def backgrounds():
    """Return how quiet rooms are, by id."""
    return MappingProxyType(
        {
            row["id"]: BackgroundKind(**{name: _value(name, cell) for name, cell in row.items()})
            for row in _rows("backgrounds.csv")
        }
    )
