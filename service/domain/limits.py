"""The plausible range of every quantity that a request may carry, each written once.

The request schemas, the specification and the messages of refusals all read from here.
"""

from dataclasses import dataclass

from service.domain.words import Words, words


@dataclass(frozen=True, kw_only=True)
class Limit:
    """Range of one quantity. `above` marks a lower end that is itself excluded; `remedy` is what helps one outside.

    `step` is what the arrows of a form move by; every number in the range is taken, whether it is a step or not.
    """

    minimum: float
    maximum: float
    step: float | None = None
    above: bool = False
    remedy: Words | None = None

    def allows(self, value: float) -> bool:
        """Tell whether a finite number lies inside the range."""
        return (value > self.minimum if self.above else value >= self.minimum) and value <= self.maximum

    @property
    def words(self) -> Words:
        """The range as it stands in a refusal."""
        if self.above:
            return words("refusals_limits.more_than", minimum=self.minimum, maximum=self.maximum)
        return words("refusals_limits.from_to", minimum=self.minimum, maximum=self.maximum)


_INSIDE = words("refusals_limits.remedy.inside_dimensions")

LIMITS = {
    # rooms
    "length_m": Limit(minimum=1.5, maximum=30.0, step=0.01, remedy=_INSIDE),
    "width_m": Limit(minimum=1.5, maximum=30.0, step=0.01, remedy=_INSIDE),
    "floor_area_m2": Limit(minimum=2.0, maximum=900.0, step=0.5, remedy=words("refusals_limits.remedy.floor_area")),
    "height_m": Limit(minimum=1.8, maximum=12.0, step=0.01, remedy=_INSIDE),
    "temperature_c": Limit(minimum=-10.0, maximum=45.0, step=0.5),
    "relative_humidity_pct": Limit(minimum=1.0, maximum=100.0, step=1),
    "pressure_kpa": Limit(minimum=60.0, maximum=110.0, step=0.1),
    "absorption_coefficient": Limit(
        minimum=0.0, maximum=1.0, step=0.01, remedy=words("refusals_limits.remedy.absorption")
    ),
    "admittance_ratio": Limit(minimum=0.0, maximum=1.0, step=0.001),
    "area_m2": Limit(minimum=0.0001, maximum=900.0, step=0.1),
    "object_count": Limit(minimum=1, maximum=200, step=1),
    "people": Limit(minimum=0, maximum=200, step=1),
    "reverberation_time_s": Limit(minimum=0.05, maximum=20.0, step=0.05),
    # positions
    "coordinate_m": Limit(minimum=0.0, maximum=30.0, step=0.01),
    "facing_deg": Limit(minimum=-360.0, maximum=360.0, step=1),
    "listening_distance_m": Limit(minimum=0.3, maximum=30.0, step=0.05),
    "distance_m": Limit(minimum=0.05, maximum=30.0, step=0.01),
    "side_offset_m": Limit(minimum=-15.0, maximum=15.0, step=0.01),
    "toe_in_deg": Limit(minimum=-90.0, maximum=90.0, step=1),
    "cabinet_m": Limit(minimum=0.05, maximum=3.0, step=0.01),
    # searches
    "base_angle_deg": Limit(minimum=5.0, maximum=150.0, step=1),
    "walking_room_m": Limit(minimum=0.0, maximum=5.0, step=0.05),
    "zone_m": Limit(minimum=0.0, maximum=30.0, step=0.01, above=True),
    "step_m": Limit(minimum=0.005, maximum=1.0, step=0.005),
    # signals
    "frequency_hz": Limit(minimum=1.0, maximum=300.0, step=1),
    "modes_to_hz": Limit(minimum=20.0, maximum=300.0, step=5),
    "points_per_octave": Limit(minimum=1, maximum=96, step=1),
    "gain_db": Limit(minimum=-120.0, maximum=60.0, step=0.5),
    "delay_ms": Limit(minimum=0.0, maximum=1000.0, step=0.1),
    # loudspeakers
    "sensitivity_db": Limit(
        minimum=60.0,
        maximum=121.0,
        step=0.5,
        remedy=words("refusals_limits.remedy.sensitivity"),
    ),
    "impedance_ohm": Limit(minimum=0.5, maximum=1000.0, step=0.5),
    "low_limit_hz": Limit(minimum=5.0, maximum=1000.0, step=1),
    "low_order": Limit(minimum=1, maximum=8, step=1),
    "directivity_index_db": Limit(minimum=0.0, maximum=25.0, step=0.5),
    "crossover_hz": Limit(minimum=30.0, maximum=500.0, step=5),
    "driver_area_m2": Limit(minimum=1e-4, maximum=2.0, step=0.001),
    "peak_excursion_m": Limit(minimum=1e-5, maximum=0.1, step=0.0005),
    "impedance_hz": Limit(minimum=1.0, maximum=100_000.0, step=1),
    "magnitude_ohm": Limit(minimum=0.1, maximum=10_000.0, step=0.1),
    "phase_deg": Limit(minimum=-90.0, maximum=90.0, step=1, remedy=words("refusals_limits.remedy.phase")),
    "resonance_hz": Limit(minimum=5.0, maximum=20_000.0, step=1),
    "q": Limit(minimum=0.05, maximum=50.0, step=0.01),
    "inductance_mh": Limit(minimum=0.0, maximum=100.0, step=0.01),
    "volume_l": Limit(minimum=0.1, maximum=10_000.0, step=1),
    "thermal_resistance_k_w": Limit(minimum=0.1, maximum=100.0, step=0.1),
    "section_hz": Limit(minimum=5.0, maximum=40_000.0, step=5),
    "crossover_order": Limit(minimum=1, maximum=4, step=1),
    "further_away_m": Limit(minimum=-5.0, maximum=5.0, step=0.05),
    "cable_length_m": Limit(minimum=0.0, maximum=200.0, step=0.5),
    "cross_section_mm2": Limit(minimum=0.05, maximum=50.0, step=0.25),
    "awg": Limit(minimum=0, maximum=30, step=1),
    "mass_kg": Limit(minimum=0.0, maximum=1000.0, step=1, above=True),
    "speaker_count": Limit(minimum=1, maximum=2, step=1),
    # amplifiers
    "power_w": Limit(minimum=0.001, maximum=5000.0, step=0.5),
    "output_impedance_ohm": Limit(minimum=0.0, maximum=1000.0, step=0.1),
    "damping_factor": Limit(minimum=0.01, maximum=10_000.0, step=0.5),
    "amplifier_gain_db": Limit(minimum=-20.0, maximum=60.0, step=0.5),
    "noise_uv": Limit(minimum=0.0, maximum=100_000.0, step=10, remedy=words("refusals_limits.remedy.noise")),
    "hum_mv": Limit(minimum=0.0, maximum=1000.0, step=0.1, remedy=words("refusals_limits.remedy.hum")),
    "background_dba": Limit(minimum=10.0, maximum=90.0, step=1),
    "signal_to_noise_db": Limit(minimum=20.0, maximum=150.0, step=1),
    "rated_distortion_pct": Limit(
        minimum=0.0, maximum=40.0, step=0.1, remedy=words("refusals_limits.remedy.distortion")
    ),
    "source_v": Limit(minimum=0.001, maximum=100.0, step=0.1, remedy=words("refusals_limits.remedy.source")),
    "nr": Limit(minimum=0.0, maximum=80.0, step=1),
    "hum_hz": Limit(minimum=50.0, maximum=400.0, step=10, remedy=words("refusals_limits.remedy.hum_frequency")),
    "trim_db": Limit(minimum=-80.0, maximum=40.0, step=0.5),
    "maximum_current_a": Limit(minimum=0.001, maximum=200.0, step=0.1),
    # field coils
    "cold_resistance_ohm": Limit(
        minimum=0.1, maximum=50_000.0, step=0.1, remedy=words("refusals_limits.remedy.cold_resistance")
    ),
    "current_a": Limit(minimum=0.001, maximum=50.0, step=0.01),
    "voltage_v": Limit(minimum=0.1, maximum=1000.0, step=0.1),
    "warm_temperature_c": Limit(minimum=-10.0, maximum=250.0, step=1),
    "ambient_temperature_c": Limit(minimum=-10.0, maximum=45.0, step=0.5),
    "field_coil_k_w": Limit(minimum=0.01, maximum=1000.0, step=0.1),
    # open baffles and run-in
    "baffle_m": Limit(minimum=0.1, maximum=5.0, step=0.01),
    "bass_resonance_hz": Limit(minimum=5.0, maximum=1000.0, step=1),
    "baffle_q": Limit(minimum=0.1, maximum=10.0, step=0.05),
    "bass_hz": Limit(minimum=10.0, maximum=500.0, step=1),
    "bass_level_db": Limit(minimum=40.0, maximum=140.0, step=1, remedy=words("refusals_limits.remedy.bass_level")),
    "share_pct": Limit(minimum=1.0, maximum=100.0, step=5),
    "run_in_hours": Limit(minimum=0.5, maximum=200.0, step=1),
    # hearing
    "listening_level_dba": Limit(
        minimum=40.0, maximum=115.0, step=1, remedy=words("refusals_limits.remedy.listening_level")
    ),
    "level_dba": Limit(minimum=20.0, maximum=140.0, step=1),
    "hours": Limit(minimum=0.001, maximum=24.0, step=0.25),
}
"""Name of a quantity -> its plausible range. Names are those of the requests where one quantity has one meaning."""

MOST_SOURCES = 8
MOST_SEATS = 32
MOST_FREQUENCIES = 1000
MOST_RESPONSE_VALUES = 40_000
"""Largest product of sources, seats and frequencies of one response."""
MOST_FIELD_TERMS = 40_000_000
"""Most terms of the wave field that one request may sum: a few seconds. Ordinary rooms take a thousandth of it."""
MOST_SEARCH_TERMS = 60_000_000
"""Most terms that one search for a placement may sum, which goes faster than single fields; a hall with the chair close
to the speakers needs more and gets no placement."""
MOST_PERIODS = 100
MOST_PARTS = 12
MOST_OBJECTS = 20
MOST_RATINGS = 10
MOST_TAPS = 8
MOST_SECTIONS = 6
MOST_CSV_CHARACTERS = 100_000
MOST_OPENINGS = 6
MOST_KEEP_CLEAR = 12
MOST_VOLUME_M3 = 3000.0
FLOOR_AREA_AGREES_RATIO = 0.1
"""A floor area and two lengths that differ by more contradict each other."""
FLOOR_PER_PERSON_M2 = 0.2
"""Least floor of a person or a piece of furniture: a crowd standing shoulder to shoulder."""
