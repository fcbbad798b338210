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
"""No acoustic centre and no head is nearer to a wall at a place that nobody told."""

LEAST_PERSON_TO_SPEAKER_M = 0.05
"""Ears nearer to a baffle than this are a slip of the tape or of a pencil: nobody listens from there. Ours."""

SAME_PLACE_M = 0.05
"""Two statements about one place that differ by less agree."""

SOFA_ON_WALL_M = (0.12, 0.6)
"""Ears of somebody on a sofa that touches the wall behind: from a head at the wall to a deep sofa with a thick back."""

SPACING_SPREAD_RATIO = (0.75, 1.25)
"""How far a spacing that nobody measured may be from that of the usual triangle: pairs that are seen under 44 to 77
degrees, about as far as a search looks. Ours."""

CHAIR_SPREAD_M = 0.5
"""How far a chair that nobody measured may be from the usual triangle. Ours."""

SPEAKER_HEIGHT_AT_MOST_RATIO, EAR_HEIGHT_AT_MOST_RATIO = 0.6, 0.7
"""Usual heights are for usual ceilings: under one below 1.5 m speakers and ears are taken at this share of its height.
Ours."""

TOE_IN_PAST_THE_CHAIR_DEG = 10.0
"""Speakers are turned in between straight ahead and crossing in front of the chair."""

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

CONFIDENCE_UP_TO_DB = ((2.75, "firm"), (4.25, "fair"))
"""Standard uncertainty of the headroom up to which the answer is called firm or fair; beyond it is rough. A room and a
speaker known in kind leave 2.2 dB; how loud somebody listens adds 1 to 4 dB to it."""

# Uncertainty
# -----------------------------------------------------------------------------------------------------------

SENSITIVITY_HALF_WIDTH_DB = 2.0
"""Data-sheet sensitivities are taken to hold within this. Common practice, no source."""
REVERBERATION_TIME_RELATIVE = 0.25
"""Usual time of a room about which nothing was told."""
UNTOLD_CONSTRUCTION_RELATIVE = 0.2
"""Usual time of a room of known furnishing: middle octaves of the kinds of construction lie between 0.35 and 0.55 s,
22 % either way, and each kind has its own spread beside."""
UNTOLD_FURNISHING_RELATIVE = 0.17
"""Furnishing unknown: sparse is half as long again, well furnished a fifth shorter, 35 % either way; most homes lie
nearer to the middle."""
MEASURED_TIME_RELATIVE = 0.07
DISTANCE_HALF_WIDTH_M = 0.15
UNTOLD_DISTANCE_HALF_WIDTH_M = 1.0
"""A listening distance in free field that nobody told."""
UNTOLD_KIND_POWER_STANDARD_DB = 0.6
"""Rated power of an amplifier of unknown kind: as uncertain as that of the kind with the widest tolerance, the
single-ended triode, -1.5 to +0.5 dB, so that naming the kind never makes the answer less sure."""
RULE_OF_THUMB_STANDARD_DB = 0.8
"""Power into a load off the rated one, from a single rating."""
UNKNOWN_SPACE_GAIN_DB, UNKNOWN_SPACE_STANDARD_DB = -3.0, 1.7
"""Bass re a sensitivity of unknown space: the middle of 0 to -6 dB, rectangular."""
NOTICEABLE_BAFFLE_LOSS_DB = -1.0
"""Octaves in which the baffle costs more than this share the doubt about the bass."""
TOLD_DIRECTIVITY_STANDARD_DB = 0.5
UNTOLD_KIND_DIRECTIVITY_STANDARD_DB = 2.5
"""Directivity of a speaker of unknown kind: usual kinds lie between 4 and 8 dB in the middle octaves."""
TOLD_HOW_LOUD_STANDARD_DB = 1.2
"""Crest factors of recordings of one kind differ by 2 dB either way: that much stays open at a measured level."""
HOW_LOUD_HALF_WIDTH_DB = 5.0
HOW_LOUD_STANDARD_DB = 3.0
"""How loud people listen to a kind of music, when they did not say it: 5 dB either way. Nor is it more when the music
was not told: the most demanding kind is taken then."""
UNTOLD_HEIGHT_RELATIVE = 0.07
"""Ceilings of homes lie between 2.3 and 3 m: 12 % either way of 2.5 m."""
FLOOR_AREA_RELATIVE = 0.06
"""A floor area from a rental contract or from memory holds within a tenth."""
UNKNOWN_PLACE_OCTAVE_DB = 3.5
"""Standard deviation of a low octave over the places of a room, where length and width are not known."""
STATISTICAL_MODEL_DB = 1.0
WAVE_FIELD_OCTAVE_DB = 2.0
"""Standard uncertainty of an octave's level from the wave field: walls and furniture are never quite as told."""

# Room
# --------------------------------------------------------------------------------------------------------------------

HOME_TIME_BAND_S = (0.3, 0.5)
"""Reverberation times, middle octaves, at which homes sound neither lively nor dull; from memory of IEC 60268-13, 0.3
to 0.6."""

MOST_OPEN_RATIO = 0.5
"""A room of which more than half is open has no reverberation to speak of."""

ASSUMED_LENGTH_TO_WIDTH, LENGTH_TO_WIDTH_SPREAD = 1.3, (1.0, 2.0)
"""Sides of a room of which the floor area alone is known; loudness hardly depends on it. Common practice, no source."""

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

UNUSUAL_SENSITIVITY_DB = 3.0
"""A sensitivity this far outside what its kind usually has is more often a mistaken basis than a rare speaker: 3 dB
is what 4 ohm make between 1 W and 2.83 V."""

SWITCH_WITH_CARE_FROM_DB = 95.0
"""Sensitivity from which a plug that is pulled while the volume is up makes a bang that can hurt ears."""

# Amplifier -----------------------------------------------------------------------------------------------------------

SWING_WORTH_SAYING_DB = 1.0
"""A change of level over the octaves below this is hardly noticed."""
BETTER_OUTPUT_IMPEDANCE_DIVISOR = 5.0
"""An amplifier of a fifth of the output impedance is the comparison that tells whether to mind."""
CURRENT_ENDS_FROM_DB = 1.0
"""Power lost at the current limit that is worth saying."""
NOISE_HEARD_FROM_DB = -4.0
"""Hum or hiss this far below what hides it, background and threshold of hearing together in its octave, can be heard.
Common practice, no source."""
CABLE_LENGTH_M, CABLE_CROSS_SECTION_MM2 = 3.0, 2.5
"""Loudspeaker cable that was not told. Common practice, no source."""
LOAD_BAND_HZ = (10.0, 20_000.0)
"""Band in which an impedance curve counts."""
DRIVER_CURVE_POINTS = 1200
"""Points of the curve of a driver over that band: 110 an octave, so that no peak falls between two."""

# Comparison of amplifiers --------------------------------------------------------------------------------------------

SWING_LIMIT_DB = {"as_recorded": 1.0, "no_preference": 2.5, "valve_colour_welcome": 5.0}
"""Level swing above which a grade falls by one step, by taste. 1 dB over whole octaves is just noticed; a triode
without feedback makes 2 to 2.5 dB on an ordinary curve, which some buy it for, so that it falls only where somebody
asked for the recording as it is; 5 dB is another speaker."""
LOAD_LOSS_FROM_DB = (1.5, 3.0, 6.0)
"""Voltage that an amplifier loses at the lowest impedance of the speaker, against the rated one, from which its load
grade falls: a dip to 0.85 of the rated impedance on a current limit is 1.4 dB, one to 0.7 is 3 dB, to half 6 dB. It
does not count where the headroom left there is ample."""
NOISE_BORDERLINE_FROM_DB, NOISE_AUDIBLE_FROM_DB, NOISE_LOUD_FROM_DB = NOISE_HEARD_FROM_DB, 4.0, 15.0
"""Hum or hiss at the chair re what hides it: borderline around equality, where it depends on the ears and the evening;
audible well above; loud where nobody would live with it."""
GAIN_AGREES_DB = 1.5
"""A gain and an input sensitivity that differ by more contradict each other: printed figures agree within tenths, and
a power rated at some percent of distortion adds up to 1 dB."""
VOLUME_FAR_DOWN_DB = 45.0
"""A volume control this far down at the loudest passages has hardly any travel left to set everyday levels with, and
its two channels part there. Common practice, no source."""
TRIM_ROOM_PART_DB = 3.0
"""Most of the room's gain at the crossover that a trim takes into account: more is one place's peak or gap."""
SUM_DIP_WORTH_SAYING_DB = -1.5
"""Loss where bass section and top hand over that is worth another polarity or a delay."""
HOTTEST_VOICE_COIL_K = 250.0
"""Rise at which adhesives of voice coils give way: no level counts on more. Common practice, no source."""
STEEP_PHASE_DEG = 45.0
"""Phase from which a load is harder on an output stage than a resistor of its size. Common practice, no source."""

# Field coil ----------------------------------------------------------------------------------------------------------

FIELD_COIL_RISE_K = (10.0, 20.0, 40.0)
"""Lowest, usual and highest rise of a field coil above the room. Common practice, no source."""
FIELD_COIL_COPPER_SHARE = (0.1, 0.2, 0.35)
"""Lowest, usual and highest share of copper in the mass of a field magnet, the rest being iron. Copper takes up 385 J
for each kilogram and kelvin and iron 450: the share hardly matters."""
FIELD_COIL_HOT_FROM_C = 105.0
"""Above it enamelled wire of the simplest class ages fast; from memory of IEC 60085, class A."""
RISE_AGREES_RATIO = 0.25
"""Temperatures that were told and follow from the thermal resistance: rises that differ by more contradict."""
HOT_TO_TOUCH_FROM_C = 48.0
"""Bare metal that is touched for minutes burns from here on; from memory of ISO 13732-1."""
DANGEROUS_DIRECT_VOLTAGE_V = 60.0
"""Above it direct voltage that can be touched is dangerous; from memory of IEC 61140. Local rules decide."""

# Open baffle and run-in ----------------------------------------------------------------------------------------------

MOST_EQUALISATION_DB = 12.0
"""An equaliser that lifts the bass by more takes sixteen times the power there. Common practice, no source."""
NOISE_CREST_DB = 12.0
"""Peaks of pink noise above its rms. Common practice, no source."""

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

LEAVE_IT_BELOW_DB = 0.5
"""Moving that gains less than this is not worth the work: two placements within 0.3 dB cannot be told apart."""

HEAD_TO_WALL_M = 0.12
"""A head is no nearer to a wall than its own radius."""

MOST_TREBLE_ABSORPTION = 0.999
"""A reflection is 30 dB weaker at most: an open window would make it minus infinity."""

# What to do and what to ask ------------------------------------------------------------------------------------------

MOST_STEPS = 3
MOST_QUESTIONS = 3
WORTH_ASKING_DB = 0.05
"""A question that narrows the standard uncertainty by less is not worth asking."""
WORTH_ADDING_M2 = 2.0
"""Less absorption than this is not worth a purchase."""
HOURS_A_DAY, HOURS_A_WEEK = 24.0, 168.0
NEARER_RATIO = 0.8
"""A chair a fifth nearer is a move that most rooms allow."""
NEAREST_PROPOSED_M = 1.8
"""Nobody with a pair of floor-standing speakers is asked to sit nearer than this."""
NEARER_WORTH_DB = 0.5
"""A nearer chair that gains less is not worth proposing."""

# Reflections ---------------------------------------------------------------------------------------------------------

LOWEST_OFF_AXIS_DB = -25.0
"""Cabinets and furniture send some treble in every direction."""

REFLECTION_COVERINGS = (
    ("carpet_heavy_underlay", ("floor",)),
    ("curtain_heavy_half", ("front_wall", "back_wall", "left_wall", "right_wall")),
    ("acoustic_tile_19", ("ceiling",)),
    ("wool_50_60", ("front_wall", "back_wall", "left_wall", "right_wall", "ceiling")),
)
"""Material and the surfaces it goes on, from what people accept at home to what they accept in a studio."""
