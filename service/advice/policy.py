"""Judgement: every threshold and weight that is not physics, with its reason, in one place. Ours unless said."""

# How sound joins up -------------------------------------------------------------------------------------------------

HIGHEST_JOIN_HZ = 212.0
"""The wave field hands over to the statistical field around the transition frequency, at most here: the wave field is
computed to 300 Hz, half an octave higher."""

SHORT_PEAK_WINDOW_S = 0.035
"""A drum stroke is over before the room has filled: sound that arrives within this time counts for a short peak."""

# Standing
# ------------------------------------------------------------------------------------------------------------

LEAST_WALL_DISTANCE_M = 0.3
"""No acoustic centre and no head is nearer to a wall in a proposal."""

LEAST_PERSON_TO_SPEAKER_M = 0.05
SAME_PLACE_M = 0.05
"""Two statements about one place that differ by less agree."""

PREFERRED_BASE_ANGLE_DEG = 60.0
"""The pair seen from the chair. [ITU-R-BS-775]"""

# Verdict
# -------------------------------------------------------------------------------------------------------------

GRADES = ("suits_well", "suits", "suits_with_care", "does_not_suit")
GRADE_FROM_STANDARD_UNCERTAINTIES = ((2.0, "suits_well"), (1.0, "suits"), (-1.0, "suits_with_care"))
"""Headroom in standard uncertainties from which a grade holds: about 98, 84 and 16 in 100 such rooms stay unclipped."""

COMFORTABLE_HEADROOM_DB = 3.0
"""Headroom that lets nobody think about clipping."""

MOST_SENSIBLE_POWER_W = 1000.0
"""Where more than this would be needed, a more efficient speaker or a nearer chair is the better advice."""

CONFIDENCE_UP_TO_DB = ((2.0, "firm"), (3.5, "fair"))
"""Standard uncertainty up to which the answer is called firm or fair; beyond it is rough."""

# Uncertainty
# -----------------------------------------------------------------------------------------------------------

SENSITIVITY_HALF_WIDTH_DB = 2.0
"""Data-sheet sensitivities are taken to hold within this. Common practice, no source."""
REVERBERATION_TIME_RELATIVE = 0.25
MEASURED_TIME_RELATIVE = 0.07
DISTANCE_HALF_WIDTH_M = 0.15
UNTOLD_DISTANCE_HALF_WIDTH_M = 1.0
"""A listening distance in free field that nobody told."""
POWER_STANDARD_DB, VALVE_POWER_STANDARD_DB = 0.3, 0.7
"""Rated powers hold within this; those of valve amplifiers are stated at anything from 1 to 10 % distortion."""
RULE_OF_THUMB_STANDARD_DB = 0.8
"""Power into a load off the rated one, from a single rating."""
UNKNOWN_SPACE_GAIN_DB, UNKNOWN_SPACE_STANDARD_DB = -3.0, 1.7
"""Bass re a sensitivity of unknown space: the middle of 0 to -6 dB, rectangular."""
NOTICEABLE_BAFFLE_LOSS_DB = -1.0
"""Octaves in which the baffle costs more than this share the doubt about the bass."""
DIRECTIVITY_STANDARD_DB = {
    "single_driver": (1.5, 2.0),
    "top_with_bass_section": (1.5, 2.0),
    "two_way": (1.5, 1.5),
    "three_way": (1.5, 1.5),
    "horn": (1.5, 1.5),
    "open_baffle": (1.0, 1.0),
}
"""Usual directivity index of a kind, up to 2 kHz and above, where one cone beams and breaks up."""
TOLD_DIRECTIVITY_STANDARD_DB = 0.5
STATISTICAL_MODEL_DB = 1.0
WAVE_FIELD_OCTAVE_DB = 2.0
"""Standard uncertainty of an octave's level from the wave field: walls and furniture are never quite as told."""

# Room
# --------------------------------------------------------------------------------------------------------------------

HOME_TIME_BAND_S = (0.3, 0.5)
"""Reverberation times, middle octaves, at which homes sound neither lively nor dull; from memory of IEC 60268-13, 0.3
to 0.6."""

BASS_TIME_BAND_S = (0.3, 1.2)
"""A time at 125 Hz outside this, computed from tables, is more often a wrong table row than a real room: measure it."""

HIGHEST_WALL_ABSORPTION = 0.951
"""What a wall of real admittance absorbs at most in a diffuse field. [KUTTRUFF-ROOM-ACOUSTICS]"""

COINCIDENT_WITHIN_RATIO = 0.01
"""Modes closer than 1 % are heard as one stronger mode."""

# Safety
# -----------------------------------------------------------------------------------------------------------------

CAUTION_FROM_DBA = 80.0
"""Average level at the chair from which hearing is cautioned: the weekly allowance of adults ends after 40 hours.
[ITU-T-H870]"""

CAUTION_PEAK_DB = 135.0
"""Lower action value of Directive 2003/10/EC for peak pressure."""

HEAVY_FROM_KG = 15.0
"""Cabinets from here on are carried by two; a guide value, local rules for lifting apply."""

# Loudspeaker ---------------------------------------------------------------------------------------------------------

BASS_ENDS_FROM_HZ = 55.0
"""A low limit above this leaves out the lowest octave of double bass and organ that listeners ask about."""

MOST_PLAUSIBLE_DIRECTIVITY_INDEX_DB = 12.0
"""Without a directivity index a sensitivity is refused only where this narrow a beam would not explain it."""

ASK_FOR_DIRECTIVITY_ABOVE_DB = 106.0
"""More than most speakers reach: worth asking what makes it possible."""

USUAL_CROSSOVER_HZ = (80.0, 150.0)
"""Where a bass section with its own amplifier hands over to the top. Common practice, no source."""

# Wave field ----------------------------------------------------------------------------------------------------------

LEAST_SEAT_TO_SOURCE_M = 0.01
"""A seat nearer to a point source than this means nothing: the field is that of the source alone."""

LOWEST_GAIN_DB = -200.0
"""Level in a perfect null, so that every answer is a number."""

# Exposure ------------------------------------------------------------------------------------------------------------

FULL_DOSE_PCT = 100.0

# Absorbers that are proposed -----------------------------------------------------------------------------------------

ABSORBERS = (
    ("carpet_heavy_underlay", "floor"),
    ("curtain_heavy_half", "back_wall"),
    ("wool_50_60", "back_wall"),
    ("acoustic_tile_19", "ceiling"),
)
"""Material and surface, from what people accept at home to what they accept in a studio."""

COVERABLE_RATIO = 0.6
"""Share of a surface that can be covered: doors, furniture and feet need the rest."""

# Placement -----------------------------------------------------------------------------------------------------------

MERIT_WEIGHTS = {
    "bass_unevenness_db": 1.0,
    "dips_db": 0.5,
    "seat_spread_db": 0.5,
    "bass_balance_db": 0.25,
    "strongest_reflection_db": 0.5,
    "geometry_db": 1.0,
}
"""Weight of each part in the merit. Unevenness counts in full, it is what is heard first. Dips count once more,
because a missing note is not made up by another. Agreement of seats is independent of evenness. Balance counts
little: more would make the order depend on absorption that nobody knows. Reflections and geometry are judged on less
evidence."""

BALANCE_WITHIN_DB = (0.0, 6.0)
"""Bass above the middle frequencies that is welcome in a room."""

BASE_ANGLE_WITHIN_DEG = (50.0, 70.0)
BASE_ANGLE_SEARCHED_DEG = (42.0, 76.0)
ANGLE_KEPT_SHARE = 0.8
"""Where room or distance leave no wider angle, the pair keeps this share of the widest that they leave."""
FREE_WALL_DISTANCE_M = 1.0
"""Distance to front and side wall that costs nothing; 1 dB for each half metre less. [ITU-R-BS-1116] from memory"""
MOST_GEOMETRY_DB = 2.0

LEAVE_IT_BELOW_DB = 0.5
"""Moving that gains less than this is not worth the work: two placements within 0.3 dB cannot be told apart."""
TOLERANCE_DB = 0.5
TOLERANCE_TRIED_M = (0.05, 0.1, 0.2, 0.3)
"""Moves that are tried on the way to that loss."""
LEAST_DEPTH_TRIED_M = 0.4
"""No move brings a seat nearer to the speakers than this: there the direct sound decides, not the room."""
DIFFERENT_PLACEMENTS_M = 0.4
PROPOSALS = 3

SEARCH_STEP_M = 0.1
SEARCH_SPACING_STEP_M = 0.2
LEAST_DEPTH_M = 1.2
SMALLEST_DEPTH_M = 0.5
"""From the pair to the chair along the length; the smaller one where a shorter listening distance was told."""
DISTANCE_SEARCHED_M = (2.0, 4.5)
NEAREST_SHARE_OF_LENGTH = 0.4
NEAREST_AT_MOST_M = 3.0
"""Nearest chair: 2 m, up to 3 m where length and width allow it. Nearer is more even in the bass, but the drivers of a
large speaker need the distance to join, and nobody sits there."""
SPACING_SEARCHED_M = (1.8, 4.0)
"""A pair nearer or narrower than this is for a desk. Narrow rooms get what they allow."""
DISTANCE_KEPT_RATIO = 0.2
"""A listening distance that was told is kept within this share of itself."""
FRONT_SEARCHED_UP_TO_M = 2.0
FRONT_SEARCHED_SHARE = 0.35
"""No speaker further into the room than this share of its length."""
SIDE_WALL_FREE_M = 0.1
BEHIND_CABINET_M = 0.1
"""Air between a cabinet, turned in towards the chair, and the walls beside and behind it."""
SEAT_TO_BACK_WALL_M = 0.5
HEAD_TO_WALL_M = 0.12
"""A head is no nearer to a wall than its own radius."""
LEAST_GAP_M = 0.05
MID_ROOM_RATIO = (0.42, 0.58)
"""Part of the length that counts as mid-room."""
MOST_SEATS_JUDGED = 4
"""Of more seats the leading one and some of the others are judged: more would not change the order."""
MOST_COMBINATIONS = 20_000
"""Of the grid, times the seats. Wider searches take larger steps."""
BASS_JUDGED_FROM_HZ = (20.0, 150.0)
"""The bass is judged from the speaker's own low limit; from 20 Hz at the lowest, from 150 Hz at the highest."""
MOST_TREBLE_ABSORPTION = 0.999
LIVELY_FROM_S = 0.8
"""Above this reverberation time the bass is resolved twice as finely."""
POINTS_PER_BAND, POINTS_PER_BAND_LIVELY = 4, 8
"""24 or 48 frequencies an octave."""

# What to do and what to ask ------------------------------------------------------------------------------------------

MOST_STEPS = 3
MOST_QUESTIONS = 3
WORTH_ASKING_DB = 0.25
WORTH_ADDING_M2 = 2.0
"""Less absorption than this is not worth a purchase."""
HOURS_A_DAY, HOURS_A_WEEK = 24.0, 168.0
