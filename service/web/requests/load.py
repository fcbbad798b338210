"""Schemas of what an amplifier meets: curve, drivers, sections and cable, and of the source before it."""

from service.advice.reference_tables import bass_section_low_limit_hz
from service.domain import load
from service.domain.errors import DomainError
from service.domain.limits import LIMITS
from service.web.reading.fields import Block, Choice, Number, Text, Whole
from service.web.reading.schema_base import StrictSchema


def _number(limit, description, *, required=False, **options):
    return Number(limit, description=description, required=required, **options)


class DriverSchema(StrictSchema):
    """The driver, or all drivers together, that move the air in the bass."""

    area_m2 = _number("driver_area_m2", "effective area", required=True, unit="m2")
    peak_excursion_m = _number("peak_excursion_m", "greatest travel one way from rest", required=True, unit="m")

    makes = load.Driver


class BassSectionSchema(StrictSchema):
    """A bass section with an amplifier of its own."""

    crossover_hz = _number("crossover_hz", "where it hands over to the top", required=True, unit="Hz")
    low_limit_hz = _number("low_limit_hz", "-6 dB in free field", default=bass_section_low_limit_hz(), unit="Hz")
    sensitivity_db_2v83_1m = _number("sensitivity_db", "of the bass section alone, at 1 m, for 2.83 V", unit="dB")
    impedance_ohm = _number("impedance_ohm", "of the bass section; left out: as the top", unit="ohm")
    power_w = _number("power_w", "sine power of its own amplifier", unit="W")
    driver = Block(DriverSchema)
    gain_db = _number("amplifier_gain_db", "from its input to its driver, level control at 0", unit="dB")
    input = Choice(
        load.BASS_INPUTS, default="line", description="where it takes its signal: beside the amplifier, or behind it"
    )
    trim_from_db = _number("trim_db", "lowest position of its level control", unit="dB")
    trim_to_db = _number("trim_db", "highest position of its level control", unit="dB")
    crossover_order = Whole("crossover_order", default=4, description="of both filters; each order is 6 dB an octave")
    crossover_alignment = Choice(
        load.CROSSOVER_ALIGNMENTS,
        default="linkwitz_riley",
        description="linkwitz_riley has the orders 2 and 4 only",
    )
    polarity = Choice(load.POLARITIES, default="as_top", description="reversed: wired the other way round")
    further_away_m = _number(
        "further_away_m", "how much further from the chair than the top; negative: nearer", default=0.0, unit="m"
    )

    together = (("trim_from_db", "trim_to_db"),)

    makes = load.BassSection


class ImpedancePointSchema(StrictSchema):
    """One row of an impedance curve."""

    frequency_hz = _number("impedance_hz", "rising from row to row", required=True, unit="Hz")
    magnitude_ohm = _number("magnitude_ohm", "magnitude of the impedance", required=True, unit="ohm")
    phase_deg = _number("phase_deg", "positive where inductive; at every point or at none", unit="degrees")

    makes = load.ImpedancePoint


class DriverParametersSchema(StrictSchema):
    """Small-signal parameters of the driver, from which the impedance curve follows."""

    resonance_hz = _number("resonance_hz", "in free air", required=True, unit="Hz")
    mechanical_q = _number("q", "of the mechanical losses alone", required=True)
    electrical_q = _number("q", "of the electrical damping alone; or total_q")
    total_q = _number("q", "of both together; or electrical_q")
    dc_resistance_ohm = _number("impedance_ohm", "of the voice coil", required=True, unit="ohm")
    inductance_mh = _number("inductance_mh", "of the voice coil", default=0.0, unit="mH")
    box = Choice(load.BOXES, default="open", description="what is behind it: open baffle, closed box, vented box")
    compliance_volume_l = _number("volume_l", "volume of air as compliant as the suspension", unit="l")
    box_volume_l = _number("volume_l", "net volume of the box", unit="l")
    tuning_hz = _number("resonance_hz", "of a vented box", unit="Hz")
    thermal_resistance_k_w = _number("thermal_resistance_k_w", "voice coil to room", unit="K/W")

    exactly_one_of = (("electrical_q", "total_q"),)

    makes = load.DriverParameters


class SectionSchema(StrictSchema):
    """A part of the speaker with its band; lowest first, each beginning where the one before ends."""

    name = Text(max_length=60, description="what to call it")
    from_hz = _number("section_hz", "lower end of its band", unit="Hz")
    to_hz = _number("section_hz", "upper end of its band", unit="Hz")
    amplifier = Choice(
        load.SECTION_AMPLIFIERS,
        default="customer",
        description="customer: the one asked about; own: one of its own, of the lowest section only",
    )
    sensitivity_db_2v83_1m = _number("sensitivity_db", "of this section alone, at 1 m, for 2.83 V", unit="dB")
    impedance_ohm = _number("impedance_ohm", "rated impedance of this section; left out: as the speaker", unit="ohm")
    long_term_power_w = _number("power_w", "rated long-term power of this section", unit="W")
    power_w = _number("power_w", "sine power of its own amplifier", unit="W")
    driver = Block(DriverSchema)

    makes = load.Section


class CableSchema(StrictSchema):
    """The cable to one speaker."""

    length_m = _number("cable_length_m", "of the cable, one way", required=True, unit="m")
    cross_section_mm2 = _number("cross_section_mm2", "of one conductor", unit="mm2")
    awg = _number("awg", "American wire gauge, in place of cross_section_mm2")
    temperature_c = _number("temperature_c", "of the copper", default=20.0, unit="degrees Celsius")

    exactly_one_of = (("cross_section_mm2", "awg"),)

    makes = load.Cable


class SignalSourceSchema(StrictSchema):
    """What plays, and what stands between it and the amplifier."""

    output_v = _number("source_v", "rms of a full-scale sine", default=2.0, unit="V")
    preamplifier_gain_db = _number(
        "amplifier_gain_db", "with the volume control fully up; 0: passive or none", default=0.0, unit="dB"
    )

    makes = load.SignalSource


def points_of_csv(text):
    """Return the points of an impedance curve that is written as CSV with a header.

    Parameters
    ----------
    text : str
        A header with frequency_hz, magnitude_ohm and, if known, phase_deg, then one row for each frequency; columns
        parted by comma, semicolon or tab, numbers with a decimal point. [-]

    Raises
    ------
    DomainError
        The header lacks a column, or a row a number inside its range; each says in which line.
    """
    lines = [line.strip() for line in text.strip().splitlines() if line.strip()]
    parted_by = next((sign for sign in (";", "\t", ",") if sign in lines[0]), ",") if lines else ","
    header = [name.strip().lower() for name in lines[0].split(parted_by)] if lines else []
    missing = [name for name in ("frequency_hz", "magnitude_ohm") if name not in header]
    if missing:
        raise _refused("missing", f"its first line lacks {' and '.join(missing)}.", header, list(_CSV_LIMITS))
    if len(lines) - 1 > load.MOST_CURVE_POINTS:
        raise _refused("too_long", "it has too many rows.", len(lines) - 1, f"at most {load.MOST_CURVE_POINTS}")
    return tuple(_point(line, header, parted_by, number) for number, line in enumerate(lines[1:], start=2))


_CSV_LIMITS = {"frequency_hz": "impedance_hz", "magnitude_ohm": "magnitude_ohm", "phase_deg": "phase_deg"}


def _point(line, header, parted_by, number):
    cells = [cell.strip() for cell in line.split(parted_by)]
    if len(cells) != len(header):
        raise _refused(
            "not_a_row", f"line {number} has {len(cells)} columns.", line, f"{len(header)} columns, as the header"
        )
    values = {}
    for name, cell in zip(header, cells, strict=True):
        if name not in _CSV_LIMITS:
            continue
        limit = LIMITS[_CSV_LIMITS[name]]
        try:
            value = float(cell)
        except ValueError:
            raise _refused("not_a_number", f"{name} in line {number} is not a number.", cell, limit.words) from None
        if not limit.allows(value):
            raise _refused("out_of_range", f"{name} in line {number} must be {limit.words}.", cell, limit.words)
        values[name] = value
    return load.ImpedancePoint(**values)


def _refused(code, detail, given, allowed):
    return DomainError(
        pointer="/impedance_csv", code=code, detail=f"impedance_csv: {detail}", given=given, allowed=allowed
    )
