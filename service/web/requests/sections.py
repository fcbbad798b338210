"""Schemas of the parts of a speaker that have a band of their own."""

from service.advice.reference_tables import bass_section_low_limit_hz
from service.domain import load
from service.web.reading.fields import Block, Choice, Number, Text, Whole
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests.driver import DriverSchema


class BassSectionSchema(StrictSchema):
    """A bass section with an amplifier of its own."""

    crossover_hz = Number("crossover_hz", description="where it hands over to the top", required=True, unit="Hz")
    low_limit_hz = Number(
        "low_limit_hz", description="-6 dB in free field", default=bass_section_low_limit_hz(), unit="Hz"
    )
    sensitivity_db_2v83_1m = Number(
        "sensitivity_db", description="of the bass section alone, at 1 m, for 2.83 V", unit="dB"
    )
    impedance_ohm = Number("impedance_ohm", description="of the bass section; left out: as the top", unit="ohm")
    power_w = Number("power_w", description="sine power of its own amplifier", unit="W")
    driver = Block(DriverSchema)
    gain_db = Number("amplifier_gain_db", description="from its input to its driver, level control at 0", unit="dB")
    input = Choice(
        load.BASS_INPUTS,
        **shown_default("bass_section/input"),
        description="where it takes its signal: beside the amplifier, or behind it",
    )
    trim_from_db = Number("trim_db", description="lowest position of its level control", unit="dB")
    trim_to_db = Number("trim_db", description="highest position of its level control", unit="dB")
    crossover_order = Whole(
        "crossover_order",
        **shown_default("bass_section/crossover_order"),
        description="of both filters; each order is 6 dB an octave",
    )
    crossover_alignment = Choice(
        load.CROSSOVER_ALIGNMENTS,
        **shown_default("bass_section/crossover_alignment"),
        description="linkwitz_riley has the orders 2 and 4 only",
    )
    polarity = Choice(
        load.POLARITIES, **shown_default("bass_section/polarity"), description="reversed: wired the other way round"
    )
    further_away_m = Number(
        "further_away_m",
        description="how much further from the chair than the top; negative: nearer",
        **shown_default("bass_section/further_away_m"),
        unit="m",
    )

    together = (("trim_from_db", "trim_to_db"),)

    makes = load.BassSection


class SectionSchema(StrictSchema):
    """A part of the speaker with its band; lowest first, each beginning where the one before ends."""

    name = Text(max_length=60, description="what to call it")
    from_hz = Number("section_hz", description="lower end of its band", unit="Hz")
    to_hz = Number("section_hz", description="upper end of its band", unit="Hz")
    amplifier = Choice(
        load.SECTION_AMPLIFIERS,
        **shown_default("sections/amplifier"),
        description="customer: the one asked about; own: one of its own, of the lowest section only",
    )
    sensitivity_db_2v83_1m = Number(
        "sensitivity_db", description="of this section alone, at 1 m, for 2.83 V", unit="dB"
    )
    impedance_ohm = Number(
        "impedance_ohm", description="rated impedance of this section; left out: as the speaker", unit="ohm"
    )
    long_term_power_w = Number("power_w", description="rated long-term power of this section", unit="W")
    power_w = Number("power_w", description="sine power of its own amplifier", unit="W")
    driver = Block(DriverSchema)

    makes = load.Section
