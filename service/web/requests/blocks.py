"""Schemas of the blocks that requests are made of: the same names with the same meaning everywhere."""

from service.advice.octaves import OCTAVE_NOMINAL_HZ
from service.advice.reference_tables import construction_ids, furnishing_ids
from service.domain import as_found, equipment, limits, position, requests, room, surface
from service.domain.errors import DomainError
from service.domain.load import MOST_CURVE_POINTS
from service.web.reading.fields import Block, Choice, Flag, ListOf, Number, NumberArray, Text, Whole
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default
from service.web.requests.load import (
    BassSectionSchema,
    DriverParametersSchema,
    DriverSchema,
    ImpedancePointSchema,
    SectionSchema,
    points_of_csv,
)


def _number(limit, description, *, required=False, name=None, **options):
    return Number(limit, description=description, required=required, **shown_default(name), **options)


def _octaves(title, limit, description, *, unit=None):
    """Return a schema with one optional number for each octave, read as pairs of octave and value."""

    def make(self, data):
        if not data:
            raise DomainError(
                pointer="",
                code="missing",
                detail="Give a value for at least one octave.",
                allowed=list(self.known_keys),
            )
        return tuple(sorted((int(name.removeprefix("octave_")), value) for name, value in data.items()))

    members = {}
    for octave in OCTAVE_NOMINAL_HZ:
        field = Number(limit, data_key=str(octave), description=f"octave of {octave} Hz", unit=unit)
        field.called = f"the octave of {octave} Hz"
        members[f"octave_{octave}"] = field
    return type(title, (StrictSchema,), {**members, "make": make, "__doc__": description})


AbsorptionByOctave = _octaves(
    "AbsorptionByOctave",
    "absorption_coefficient",
    "Absorption coefficient of the octaves that are known; the others lie on straight lines between them.",
)
TimesByOctave = _octaves(
    "TimesByOctave",
    "reverberation_time_s",
    "Reverberation time of the octaves that were measured; the others lie on straight lines between them.",
    unit="s",
)
DirectivityByOctave = _octaves(
    "DirectivityByOctave",
    "directivity_index_db",
    "Directivity index of the octaves that are known; the others lie on straight lines between them.",
    unit="dB",
)

_ABSORPTION = "share of the sound energy that is not reflected, the same in every octave"
_ADMITTANCE = "specific normal admittance, rho c / Z, a real number of a locally reacting surface"


class SurfacePartSchema(StrictSchema):
    """A part of a surface: exactly one way to say how it absorbs, and its area."""

    material = Text(max_length=60, description="id of a material, see GET /v1/materials")
    absorption_coefficient = _number("absorption_coefficient", _ABSORPTION)
    absorption_by_octave = Block(AbsorptionByOctave)
    admittance_ratio = _number("admittance_ratio", _ADMITTANCE)
    area_m2 = _number("area_m2", "area of this part; left out: the rest of the surface", unit="m2")

    makes = surface.SurfacePart


class SurfaceSchema(StrictSchema):
    """One surface of the room: one material or description, or several parts."""

    material = Text(max_length=60, description="id of a material, see GET /v1/materials")
    absorption_coefficient = _number("absorption_coefficient", _ABSORPTION)
    absorption_by_octave = Block(AbsorptionByOctave)
    admittance_ratio = _number("admittance_ratio", _ADMITTANCE)
    parts = ListOf(
        Block(SurfacePartSchema), max_length=limits.MOST_PARTS, description="a window in a wall, for instance"
    )

    exactly_one_of = (("material", "absorption_coefficient", "absorption_by_octave", "admittance_ratio", "parts"),)

    makes = surface.Surface

    def make(self, data):
        return super().make(data if "parts" in data else {"parts": [surface.SurfacePart(**data)]})


class SurfacesSchema(StrictSchema):
    """The six surfaces. You sit facing the front wall, which is behind the speakers."""

    front_wall = Block(SurfaceSchema)
    back_wall = Block(SurfaceSchema)
    left_wall = Block(SurfaceSchema)
    right_wall = Block(SurfaceSchema)
    floor = Block(SurfaceSchema)
    ceiling = Block(SurfaceSchema)

    makes = room.Surfaces


class FurnishingSchema(StrictSchema):
    """Furniture or people: a plan area, or a number of objects."""

    material = Text(max_length=60, required=True, description="id of a material, see GET /v1/materials")
    area_m2 = _number("area_m2", "plan area, for materials with an absorption coefficient", unit="m2")
    count = Whole("object_count", description="how many, for materials given as m2 an object or person")

    exactly_one_of = (("area_m2", "count"),)

    makes = room.Furnishing


class OpeningSchema(StrictSchema):
    """A part of a wall that is open to another room or to the outside. A measured time holds with it open."""

    wall = Choice(surface.WALLS, required=True, description="the surface that it is in")
    area_m2 = _number("area_m2", "area of the opening", required=True, unit="m2")

    makes = room.Opening


class RoomSchema(StrictSchema):
    """A room, inside dimensions, at most 3000 m3: both lengths, or the floor area. All else sharpens the answer.

    A measured time counts before surfaces that are told, and these before what is usual for the construction.
    """

    length_m = _number("length_m", "from the front wall to the back wall; with width_m, or floor_area_m2", unit="m")
    width_m = _number("width_m", "from the left wall to the right wall", unit="m")
    floor_area_m2 = _number(
        "floor_area_m2", "in place of length_m and width_m: loudness follows from it, the bass does not", unit="m2"
    )
    height_m = _number("height_m", "floor to ceiling; left out: usual for the construction", name="height_m", unit="m")
    construction = Choice(
        construction_ids(), description="how it is built, see GET /v1/room-kinds", **shown_default("construction")
    )
    furnishing = Choice(
        furnishing_ids(), description="how it is furnished, see GET /v1/room-kinds", **shown_default("furnishing")
    )
    shape = Choice(room.SHAPES, default="box", description="all but the box are computed as one, which is rough")
    openings = ListOf(
        Block(OpeningSchema), max_length=limits.MOST_OPENINGS, description="archways, doors that stand open"
    )
    surfaces = Block(SurfacesSchema)
    reverberation_time_s = _number("reverberation_time_s", "measured, the same in every octave", unit="s")
    reverberation_time_by_octave_s = Block(TimesByOctave)
    furniture = ListOf(Block(FurnishingSchema), max_length=limits.MOST_OBJECTS)
    people = Whole("people", description="people in the room", **shown_default("people"))
    temperature_c = _number("temperature_c", "temperature of the air", name="temperature_c", unit="degrees Celsius")
    relative_humidity_pct = _number(
        "relative_humidity_pct", "relative humidity of the air", name="relative_humidity_pct", unit="%"
    )
    pressure_kpa = _number("pressure_kpa", "pressure of the air", name="pressure_kpa", unit="kPa")

    at_most_one_of = (("reverberation_time_s", "reverberation_time_by_octave_s"),)
    one_set_of = (("length_m", "width_m"), ("floor_area_m2",))
    together = (("length_m", "width_m"),)

    makes = room.Room


class PlaceSchema(StrictSchema):
    """A place: x from the front wall, y from the left wall, z from the floor."""

    x_m = _number("coordinate_m", "from the front wall", required=True, unit="m")
    y_m = _number("coordinate_m", "from the left wall", required=True, unit="m")
    z_m = _number("coordinate_m", "from the floor", required=True, unit="m")

    makes = position.Place


class SpeakerPlaceSchema(PlaceSchema):
    """The place of a speaker's acoustic centre. A placement's speakers can be sent as they are."""

    facing_deg = _number(
        "facing_deg", "direction in plan, from +x towards +y; left out: towards the seats", unit="degrees"
    )
    toe_in_deg = _number("facing_deg", "as placements give it; facing_deg decides", unit="degrees")
    radiation = Choice(position.RADIATIONS, description="as placements give it; the speaker's kind decides")

    def make(self, data):
        data.pop("toe_in_deg", None)
        data.pop("radiation", None)
        return super().make(data)


class SourceSchema(PlaceSchema):
    """A point source. A placement's speakers can be sent as they are."""

    radiation = Choice(
        position.RADIATIONS, default="monopole", description="dipole: the equalised far-field figure of eight"
    )
    facing_deg = _number("facing_deg", "axis of a dipole in plan, from +x towards +y", default=0, unit="degrees")
    toe_in_deg = _number("facing_deg", "as placements give it; facing_deg decides", unit="degrees")
    gain_db = _number("gain_db", "gain of this source", default=0, unit="dB")
    delay_ms = _number("delay_ms", "delay of this source", default=0, unit="ms")
    polarity = Choice((1, -1), default=1, description="-1: wired the other way round")

    makes = position.Source

    def make(self, data):
        data.pop("toe_in_deg", None)
        data.setdefault("facing_deg", 0.0)
        return super().make(data)


class PositionsSchema(StrictSchema):
    """Where the speakers and the ears are: first the left speaker, first the leading seat."""

    speakers = ListOf(Block(SpeakerPlaceSchema), max_length=2, required=True)
    seats = ListOf(Block(PlaceSchema), max_length=limits.MOST_SEATS, required=True)

    makes = position.Positions


class AsFoundSchema(StrictSchema):
    """How pair and chair stand today, in metres as seen from the chair; tell what was measured.

    The mark of a speaker is the middle of its front, that of the chair lies below the ears.
    """

    speakers_on = Choice(
        as_found.WALLS_BEHIND_THE_SPEAKERS,
        description="which wall is behind the speakers; decides which of the room's two sides is its length",
    )
    front_wall_to_baffle_m = _number("distance_m", "wall behind the speakers to the front of each speaker", unit="m")
    left_wall_to_left_baffle_m = _number("distance_m", "left wall to the middle of the left speaker", unit="m")
    right_wall_to_right_baffle_m = _number("distance_m", "right wall to the middle of the right speaker", unit="m")
    spacing_m = _number("distance_m", "between the middles of the two speakers", unit="m")
    back_wall_to_ears_m = _number("distance_m", "wall behind you to your ears", unit="m")
    left_wall_to_ears_m = _number("distance_m", "left wall to the middle of your head", unit="m")
    side_offset_m = _number(
        "side_offset_m", "middle of the pair from the room's middle; to the right is positive", unit="m"
    )
    sofa_on_wall = Flag(description="the sofa touches the wall behind you")
    ear_height_m = _number("distance_m", "floor to ears", unit="m")
    speaker_height_m = _number("distance_m", "floor to the acoustic centre of the speakers", unit="m")
    toe_in_deg = _number(
        "toe_in_deg", "turned inwards from straight ahead; left out: towards the chair", unit="degrees"
    )

    makes = as_found.AsFound


class SpeakerSchema(StrictSchema):
    """One loudspeaker of a pair."""

    sensitivity_db_1w_1m = _number("sensitivity_db", "at 1 m, for 1 W into the rated impedance", unit="dB")
    sensitivity_db_2v83_1m = _number("sensitivity_db", "at 1 m, for 2.83 V", unit="dB")
    sensitivity_db_1m = _number(
        "sensitivity_db", "at 1 m, basis unstated: the reading that gives the lower level is taken", unit="dB"
    )
    sensitivity_space = Choice(
        equipment.SENSITIVITY_SPACES,
        description="whether the figure holds in the bass (free_field) or only above the baffle step (half_space)",
        **shown_default("sensitivity_space"),
    )
    nominal_impedance_ohm = _number("impedance_ohm", "rated impedance", name="nominal_impedance_ohm", unit="ohm")
    minimum_impedance_ohm = _number(
        "impedance_ohm", "lowest impedance at any frequency; left out: usual for the kind", unit="ohm"
    )
    kind = Choice(
        equipment.SPEAKER_KINDS,
        description="how it radiates and where its bass comes from, see GET /v1/speaker-kinds",
        **shown_default("kind"),
    )
    field_coil = Flag(description="its magnet is a field coil with a supply", default=False)
    low_limit_hz = _number("low_limit_hz", "-6 dB in free field; left out: usual for the kind", unit="Hz")
    low_order = Whole(
        "low_order",
        description="order of the roll-off below low_limit_hz: 2 falls by 12 dB an octave, 4 by 24 dB; "
        "left out: usual for the kind",
    )
    directivity_index_db = _number("directivity_index_db", "directivity index, the same in every octave", unit="dB")
    directivity_index_by_octave_db = Block(DirectivityByOctave)
    long_term_power_w = _number("power_w", "rated long-term power; left out: usual for the kind", unit="W")
    cabinet_width_m = _number("cabinet_m", "width of the cabinet's front", name="cabinet_width_m", unit="m")
    cabinet_depth_m = _number("cabinet_m", "depth of the cabinet", name="cabinet_depth_m", unit="m")
    cabinet_height_m = _number("cabinet_m", "height of the cabinet", name="cabinet_height_m", unit="m")
    mass_kg = _number("mass_kg", "mass of one cabinet", unit="kg")
    fixed_to_wall_or_ceiling = Flag(description="hung rather than standing", default=False)
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
            data["impedance"] = points_of_csv(data.pop("impedance_csv"))
        return super().make(data)


class RatingSchema(StrictSchema):
    """Power into a load."""

    load_ohm = _number("impedance_ohm", "load of this rating", required=True, unit="ohm")
    power_w = _number("power_w", "sine power a channel at clipping", required=True, unit="W")
    bridged = Flag(description="of two channels bridged into this load", default=False)

    makes = equipment.Rating


class AmplifierSchema(StrictSchema):
    """One amplifier; power is a channel."""

    power_w = _number("power_w", "sine power a channel at clipping", unit="W")
    load_ohm = _number("impedance_ohm", "load of power_w; left out: usual for the kind", name="load_ohm", unit="ohm")
    ratings = ListOf(Block(RatingSchema), max_length=limits.MOST_RATINGS, description="power into several loads")
    kind = Choice(
        equipment.AMPLIFIER_KINDS,
        description="what it usually does, to a load off its rating also, see GET /v1/amplifier-kinds",
    )
    maximum_current_a = _number("maximum_current_a", "highest current, rms", unit="A")
    output_impedance_ohm = _number("output_impedance_ohm", "at its terminals; left out: usual for the kind", unit="ohm")
    damping_factor = _number("damping_factor", "in place of output_impedance_ohm")
    damping_factor_load_ohm = _number("impedance_ohm", "load of damping_factor", default=8.0, unit="ohm")
    gain_db = _number("amplifier_gain_db", "voltage gain at full volume", unit="dB")
    noise_uv = _number("noise_uv", "noise at the output, A-weighted; left out: usual for the kind", unit="uV")
    hum_mv = _number("hum_mv", "hum at the output, unweighted; left out: usual for the kind", unit="mV")
    balanced_output = Flag(description="no side of its outputs is at earth", default=False)
    name = Text(max_length=120, description="what to call it")
    taps_ohm = NumberArray(
        "impedance_ohm",
        max_length=limits.MOST_TAPS,
        unit="ohm",
        description="taps of its output transformer; the load of a rating is then its tap",
    )
    tap_in_use_ohm = _number("impedance_ohm", "tap that is connected; left out: the best one is counted", unit="ohm")
    input_sensitivity_v = _number("source_v", "input for full output, in place of gain_db or beside it", unit="V")
    input_overload_v = _number("source_v", "input that overloads it", unit="V")
    signal_to_noise_db = _number("signal_to_noise_db", "in place of noise_uv; unweighted: of hum_mv", unit="dB")
    signal_to_noise_weighting = Choice(
        equipment.SIGNAL_TO_NOISE_WEIGHTINGS, default="a", description="a: A-weighted; none: hum and all"
    )
    signal_to_noise_reference = Choice(
        equipment.SIGNAL_TO_NOISE_REFERENCES, default="full_output", description="what the ratio refers to"
    )
    hum_frequency_hz = _number("hum_hz", "twice the mains", default=100.0, unit="Hz")
    rated_distortion_pct = _number("rated_distortion_pct", "distortion at which its power is rated", unit="%")
    minimum_load_ohm = _number("impedance_ohm", "lowest load that the maker allows", unit="ohm")

    exactly_one_of = (("power_w", "ratings"),)
    at_most_one_of = (("output_impedance_ohm", "damping_factor"),)

    makes = equipment.Amplifier

    def make(self, data):
        if "taps_ohm" in data:
            data["taps_ohm"] = tuple(float(tap) for tap in data["taps_ohm"])
        return super().make(data)


class BackgroundSchema(StrictSchema):
    """Background noise at the chair: in words, as a level or as a noise rating."""

    kind = Choice(equipment.BACKGROUND_KINDS, description="how quiet it is, see GET /v1/room-kinds")
    level_dba = _number("background_dba", "level as a phone or meter shows it", unit="dB(A)")

    nr = _number("nr", "noise rating NR of the room")

    exactly_one_of = (("kind", "level_dba", "nr"),)

    makes = equipment.Background


class PeriodSchema(StrictSchema):
    """Some hours at a level."""

    level_dba = _number("level_dba", "average level in this time", required=True, unit="dB(A)")
    hours = _number("hours", "how long", required=True, unit="h")

    makes = requests.Period
