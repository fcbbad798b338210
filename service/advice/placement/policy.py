"""Judgement of a search for places: its thresholds and weights that are not physics, with their reasons. Ours unless
said."""

import types
from dataclasses import dataclass, replace

# What a placement costs ----------------------------------------------------------------------------------------------

MERIT_WEIGHTS = types.MappingProxyType(
    {
        "bass_unevenness_db": 1.0,
        "dips_db": 0.5,
        "seat_spread_db": 0.5,
        "bass_balance_db": 0.25,
        "strongest_reflection_db": 0.5,
        "geometry_db": 1.0,
    }
)
"""Weight of each part in the merit. Unevenness counts in full, it is what is heard first. Dips count once more,
because a missing note is not made up by another. Agreement of seats is independent of evenness. Balance counts
little: more would make the order depend on absorption that nobody knows. Reflections and geometry are judged on less
evidence."""

BALANCE_WITHIN_DB = (0.0, 6.0)
"""Bass above the middle frequencies that is welcome in a room."""

BASE_ANGLE_WITHIN_DEG = (50.0, 70.0)
"""Base angles that cost nothing: 10 degrees either way of the 60 of the standard triangle."""

FREE_WALL_DISTANCE_M = types.MappingProxyType({"free": 1.0, "near_wall": 0.5, "corner": 0.0})
"""Distance to front and side wall that costs nothing, by the speaker's way of standing. [ITU-R-BS-1116] from memory for
free ones; a speaker that is made for a wall or a corner needs no air there."""

WALL_COSTS_M = 0.5
"""1 dB for each so much nearer to a wall than that: a metre too near costs as much as geometry costs at most."""

ANGLE_COSTS_DEG = 10.0
"""1 dB for each so much outside the base angles that cost nothing: the narrowest and the widest pair that are searched
lie just short of it."""

UNLIKE_DISTANCE_COSTS_M = 0.3
"""1 dB for this difference between the two speakers' distances from the chair: the picture moves to the nearer one. A
pair off the axis of a chair that stays is searched as far aside as costs about that."""

MOST_GEOMETRY_DB = 2.0
"""Geometry is convention and not heard by itself: however bad, it does not outweigh 2 dB of unevenness in the bass."""

BASS_JUDGED_FROM_HZ = (20.0, 150.0)
"""The bass is judged from the speaker's own low limit; from 20 Hz at the lowest, from 150 Hz at the highest."""

LIVELY_FROM_S = 0.8
"""Above this reverberation time the bass is resolved twice as finely."""

POINTS_PER_BAND, POINTS_PER_BAND_LIVELY = 4, 8
"""24 or 48 frequencies an octave."""

MOST_SEATS_JUDGED = 4
"""Of more seats the leading one and some of the others are judged: more would not change the order."""

# Where speakers are searched -----------------------------------------------------------------------------------------

SPACING_SEARCHED_M = (1.8, 4.0)
"""A pair nearer or narrower than this is for a desk. Narrow rooms get what they allow."""

FRONT_SEARCHED_UP_TO_M = 2.0
"""A speaker further from the wall behind it stands in the way of the room, however long that is."""

FRONT_SEARCHED_SHARE = 0.35
"""No speaker further into the room than this share of its length."""

SIDE_WALL_FREE_M = 0.1
BEHIND_CABINET_M = 0.1
"""Air between a cabinet, turned in towards the chair, and the walls beside and behind it."""

NEAR_WALL_WITHIN_M = 0.6
"""Air behind the cabinet up to which it still stands near the wall."""

IN_CORNER_WITHIN_M = 0.3
"""As much further out of its corner a corner speaker may stand."""

DIPOLE_TO_FRONT_WALL_M = 1.0
"""An open baffle stands at least this far from the wall behind it, where the room has it: its rear sound comes back too
soon otherwise. Common practice, no source."""

BASE_ANGLE_SEARCHED_DEG = (42.0, 76.0)
"""A little further than the angles that cost nothing, so that evenness may buy up to 0.8 dB of angle, but no pair ends
as headphones or as one source."""

CORNER_ANGLE_DEG = (30.0, 110.0)
"""A pair in two corners is seen at the angle that the room gives."""

ANGLE_KEPT_SHARE = 0.8
"""Where room or distance leave no wider angle, the pair keeps this share of the widest that they leave."""

# Where chairs are searched -------------------------------------------------------------------------------------------

LEAST_DEPTH_M = 1.2
"""From the pair to the chair along the length at least."""

SMALLEST_DEPTH_M = 0.5
"""The same where a shorter listening distance was told: knees need as much before a cabinet."""

DISTANCE_SEARCHED_M = (2.0, 4.5)
"""Listening distances at home; further off the room is louder than the pair in most homes."""

NEAREST_SHARE_OF_LENGTH = 0.4
NEAREST_AT_MOST_M = 3.0
"""Nearest chair: 2 m, up to 3 m where length and width allow it. Nearer is more even in the bass, but the drivers of a
large speaker need the distance to join, and nobody sits there."""

DISTANCE_KEPT_RATIO = 0.2
"""A listening distance that was told is kept within this share of itself."""

CHAIR_RADIUS_M = 0.3
"""What a chair with somebody in it needs around the ears, in plan."""

MID_ROOM_RATIO = (0.42, 0.58)
"""Part of the length that counts as mid-room."""

# Bass sections that stand apart --------------------------------------------------------------------------------------

BASS_SECTION_HEIGHT_M = 0.35
"""Middle of the driver of a bass section that stands on the floor."""

BASS_STEP_M = 0.1
"""Least step of the places of bass sections: their waves are metres long."""

BASS_APART_COSTS = 3.0
"""What a place costs whose bass sections are searched too, re one of a pair alone."""

BASS_CANDIDATES = 800
"""About as many places of bass sections are judged for one place of the tops."""

BASS_SECTION_ORDER = 4
"""Order of its crossover to the top, unless told. Common practice, no source."""

# What is proposed ----------------------------------------------------------------------------------------------------

PROPOSALS = 3
"""A best place and two to fall back on, if somebody at home objects; more is a list that nobody reads."""

DIFFERENT_PLACEMENTS_M = 0.4
"""Two placements that differ by less in every way are one, moved a little: a cabinet or a chair is about as wide."""

TOLERANCE_DB = 0.5
"""Loss of merit that ends a tolerance: from there on moving back would be worth the work, as for a move at all."""

TOLERANCE_TRIED_M = types.MappingProxyType({3: (0.1, 0.2, 0.3), 5: (0.05, 0.1, 0.15, 0.2, 0.3)})
"""Moves that are tried on the way to that loss, by how many."""

LEAST_DEPTH_TRIED_M = 0.4
"""No move brings a seat nearer to the speakers than this: there the direct sound decides, not the room."""

LEAST_GAP_M = 0.05
"""No move for a tolerance ends nearer to a wall than this: at the wall itself the wave field has no place for a source,
and nobody pushes a cabinet or a head that far."""

WHY_MODES = 2
WHY_MODES_UP_TO_HZ = 120.0
"""Two resonances, below where they overlap, say why a place wins; more would be a lecture."""

WHY_COUPLING_LESS = 0.3
"""A resonance counts as avoided where its strength at the winner, 0 to 1, is lower by this than at the other place."""

WHY_HARDLY = 0.35
"""Strength up to which a resonance is hardly driven or hardly heard."""

WHY_GAP_FILLED_DB = 3.0
"""A gap that shrinks by less is not worth a word."""

# How hard to search --------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How hard a search looks.

    Attributes
    ----------
    candidates : int
        Of the first pass over all front walls, times the seats, at most. [-]
    step_m : float
        Of the first pass. [m]
    rescored : int
        How many are judged anew over the whole head. [-]
    refined, evaluations : int
        How many of these are refined, in how many evaluations each. [-]
    tried : int
        Moves each way that are tried for the tolerances, a key of `TOLERANCE_TRIED_M`. [-]
    proposals : int
        How many placements are refined towards a proposal. [-]
    """

    candidates: int
    step_m: float
    rescored: int
    refined: int
    evaluations: int
    tried: int
    proposals: int = PROPOSALS


EFFORTS = types.MappingProxyType(
    {
        "quick": Effort(candidates=12_000, step_m=0.1, rescored=24, refined=1, evaluations=24, tried=3),
        "normal": Effort(candidates=250_000, step_m=0.05, rescored=160, refined=3, evaluations=70, tried=5),
        "thorough": Effort(candidates=1_500_000, step_m=0.025, rescored=240, refined=4, evaluations=100, tried=5),
    }
)
"""How hard to search. About 0.1, 0.7 and 3 s in a living room on two cores."""

GIVE_UP_EFFORT = replace(EFFORTS["quick"], candidates=3_000, step_m=0.2, rescored=8, refined=0)
"""How hard to look for what giving up a limit would gain: a tenth of a decibel does not matter there."""

MOST_JUDGED_TERMS = 8_000_000
"""Terms of the wave field that judging one by one may take after the first pass: a few seconds. Halls get fewer
places rescored and fewer proposals."""

LEAST_JUDGED = 40
"""A search that cannot judge so many places one by one is too large."""

SHARES = types.MappingProxyType({"rescored": 0.4, "refined": 0.3, "tolerance": 0.3})
"""What each step takes of it where it is scarce."""

REFINED_STEP_M = 0.05
"""Size of the first steps of the refinement, which looks no further than half of what makes two placements differ."""
