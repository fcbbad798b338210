"""Schema of an amplifier and of its ratings."""

from service.domain import equipment, limits
from service.web.reading.fields import Block, Choice, Flag, ListOf, Number, NumberArray, Text
from service.web.reading.schema_base import StrictSchema
from service.web.reading.shown_defaults import shown_default


class RatingSchema(StrictSchema):
    """Power into a load."""

    load_ohm = Number("impedance_ohm", description="load of this rating", required=True, unit="ohm")
    power_w = Number("power_w", description="sine power a channel at clipping", required=True, unit="W")
    bridged = Flag(description="of two channels bridged into this load", **shown_default("ratings/bridged"))

    makes = equipment.Rating


class AmplifierSchema(StrictSchema):
    """One amplifier; power is a channel."""

    power_w = Number("power_w", description="sine power a channel at clipping", unit="W")
    load_ohm = Number(
        "impedance_ohm",
        description="load of power_w; left out: usual for the kind",
        **shown_default("amplifier/load_ohm"),
        unit="ohm",
    )
    ratings = ListOf(Block(RatingSchema), max_length=limits.MOST_RATINGS, description="power into several loads")
    kind = Choice(
        equipment.AMPLIFIER_KINDS,
        description="what it usually does, to a load off its rating also, see GET /v1/amplifier-kinds",
    )
    maximum_current_a = Number("maximum_current_a", description="highest current, rms", unit="A")
    output_impedance_ohm = Number(
        "output_impedance_ohm", description="at its terminals; left out: usual for the kind", unit="ohm"
    )
    damping_factor = Number("damping_factor", description="in place of output_impedance_ohm")
    damping_factor_load_ohm = Number(
        "impedance_ohm",
        description="load of damping_factor",
        **shown_default("amplifier/damping_factor_load_ohm"),
        unit="ohm",
    )
    gain_db = Number("amplifier_gain_db", description="voltage gain at full volume", unit="dB")
    noise_uv = Number(
        "noise_uv", description="noise at the output, A-weighted; left out: usual for the kind", unit="uV"
    )
    hum_mv = Number("hum_mv", description="hum at the output, unweighted; left out: usual for the kind", unit="mV")
    balanced_output = Flag(
        description="no side of its outputs is at earth", **shown_default("amplifier/balanced_output")
    )
    name = Text(max_length=120, description="what to call it")
    taps_ohm = NumberArray(
        "impedance_ohm",
        max_length=limits.MOST_TAPS,
        unit="ohm",
        description="taps of its output transformer; the load of a rating is then its tap",
    )
    tap_in_use_ohm = Number(
        "impedance_ohm", description="tap that is connected; left out: the best one is counted", unit="ohm"
    )
    input_sensitivity_v = Number(
        "source_v", description="input for full output, in place of gain_db or beside it", unit="V"
    )
    input_overload_v = Number("source_v", description="input that overloads it", unit="V")
    signal_to_noise_db = Number(
        "signal_to_noise_db", description="in place of noise_uv; unweighted: of hum_mv", unit="dB"
    )
    signal_to_noise_weighting = Choice(
        equipment.SIGNAL_TO_NOISE_WEIGHTINGS,
        **shown_default("amplifier/signal_to_noise_weighting"),
        description="a: A-weighted; none: hum and all",
    )
    signal_to_noise_reference = Choice(
        equipment.SIGNAL_TO_NOISE_REFERENCES,
        **shown_default("amplifier/signal_to_noise_reference"),
        description="what the ratio refers to",
    )
    hum_frequency_hz = Number(
        "hum_hz", description="twice the mains", **shown_default("amplifier/hum_frequency_hz"), unit="Hz"
    )
    rated_distortion_pct = Number(
        "rated_distortion_pct", description="distortion at which its power is rated", unit="%"
    )
    minimum_load_ohm = Number("impedance_ohm", description="lowest load that the maker allows", unit="ohm")

    exactly_one_of = (("power_w", "ratings"),)
    at_most_one_of = (("output_impedance_ohm", "damping_factor"),)

    makes = equipment.Amplifier

    def make(self, data):
        if "taps_ohm" in data:
            data["taps_ohm"] = tuple(float(tap) for tap in data["taps_ohm"])
        return super().make(data)
