"""Schema of a loudspeaker."""

from service.domain import equipment, limits, load
from service.domain.load import MOST_CURVE_POINTS
from service.web.reading.fields import Block, Choice, Flag, ListOf, Number, Text, Whole
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests.driver import DriverParametersSchema, DriverSchema
from service.web.requests.impedance_csv import points_of_csv
from service.web.requests.octaves import DirectivityByOctave
from service.web.requests.sections import BassSectionSchema, SectionSchema


class ImpedancePointSchema(StrictSchema):
    """One row of an impedance curve."""

    frequency_hz = Number("impedance_hz", description="rising from row to row", required=True, unit="Hz")
    magnitude_ohm = Number("magnitude_ohm", description="magnitude of the impedance", required=True, unit="ohm")
    phase_deg = Number("phase_deg", description="positive where inductive; at every point or at none", unit="degrees")

    makes = load.ImpedancePoint


class SpeakerSchema(StrictSchema):
    """One loudspeaker of a pair."""

    sensitivity_db_1w_1m = Number("sensitivity_db", description="at 1 m, for 1 W into the rated impedance", unit="dB")
    sensitivity_db_2v83_1m = Number("sensitivity_db", description="at 1 m, for 2.83 V", unit="dB")
    sensitivity_db_1m = Number(
        "sensitivity_db",
        description="at 1 m, basis unstated: the reading that gives the lower level is taken",
        unit="dB",
    )
    sensitivity_space = Choice(
        equipment.SENSITIVITY_SPACES,
        description="whether the figure holds in the bass (free_field) or only above the baffle step (half_space)",
        **shown_default("sensitivity_space"),
    )
    nominal_impedance_ohm = Number(
        "impedance_ohm", description="rated impedance", **shown_default("nominal_impedance_ohm"), unit="ohm"
    )
    minimum_impedance_ohm = Number(
        "impedance_ohm", description="lowest impedance at any frequency; left out: usual for the kind", unit="ohm"
    )
    kind = Choice(
        equipment.SPEAKER_KINDS,
        description="how it radiates and where its bass comes from, see GET /v1/speaker-kinds",
        **shown_default("speaker/kind"),
    )
    field_coil = Flag(description="its magnet is a field coil with a supply", **shown_default("field_coil"))
    low_limit_hz = Number("low_limit_hz", description="-6 dB in free field; left out: usual for the kind", unit="Hz")
    low_order = Whole(
        "low_order",
        description="order of the roll-off below low_limit_hz: 2 falls by 12 dB an octave, 4 by 24 dB; "
        "left out: usual for the kind",
    )
    directivity_index_db = Number(
        "directivity_index_db", description="directivity index, the same in every octave", unit="dB"
    )
    directivity_index_by_octave_db = Block(DirectivityByOctave)
    long_term_power_w = Number("power_w", description="rated long-term power; left out: usual for the kind", unit="W")
    cabinet_width_m = Number(
        "cabinet_m", description="width of the cabinet's front", **shown_default("cabinet_width_m"), unit="m"
    )
    cabinet_depth_m = Number(
        "cabinet_m", description="depth of the cabinet", **shown_default("cabinet_depth_m"), unit="m"
    )
    cabinet_height_m = Number(
        "cabinet_m", description="height of the cabinet", **shown_default("cabinet_height_m"), unit="m"
    )
    mass_kg = Number("mass_kg", description="mass of one cabinet", unit="kg")
    fixed_to_wall_or_ceiling = Flag(
        description="hung rather than standing", **shown_default("fixed_to_wall_or_ceiling")
    )
    driver = Block(DriverSchema)
    bass_section = Block(BassSectionSchema)
    name = Text(max_length=120, description="what to call it")
    impedance = ListOf(
        Block(ImpedancePointSchema),
        max_length=MOST_CURVE_POINTS,
        description="impedance curve of at least two points, frequencies rising",
    )
    impedance_csv = Text(
        max_length=limits.MOST_CSV_CHARACTERS,
        description="the curve as CSV with the header frequency_hz, magnitude_ohm and, if known, phase_deg",
    )
    driver_parameters = Block(DriverParametersSchema)
    sections = ListOf(
        Block(SectionSchema), max_length=limits.MOST_SECTIONS, description="its parts, lowest first, bands that join"
    )

    exactly_one_of = (("sensitivity_db_1w_1m", "sensitivity_db_2v83_1m", "sensitivity_db_1m"),)
    at_most_one_of = (
        ("directivity_index_db", "directivity_index_by_octave_db"),
        ("impedance", "impedance_csv", "driver_parameters"),
        ("bass_section", "sections"),
    )

    makes = equipment.Loudspeaker

    def make(self, data):
        if "impedance_csv" in data:
            data["impedance"] = points_of_csv(data.pop("impedance_csv"), pointer=self.pointer("impedance_csv"))
        return super().make(data)
