"""Reads the reference tables beside this file, once."""

import csv
import functools
import json
from pathlib import Path
from types import MappingProxyType

from service.domain.reference_data import Material, Programme, Reference, Spectrum

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
def directivity_indices_db():
    """Return the directivity index of each kind of speaker, octaves 63 Hz to 8 kHz. [dB]"""
    return MappingProxyType({row["speaker_kind"]: _octaves(row) for row in _rows("directivity.csv")})
