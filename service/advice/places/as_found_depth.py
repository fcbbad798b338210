"""Along the room: speakers and chair from the walls before and behind, the spacing and the listening distance.

Of spacing, depth and distance two make the third; a pair is taken to stand at 60 degrees where only one is known.
"""

import math

from service.advice import policy
from service.advice.assumptions import DEFAULTS
from service.advice.places.refusals import contradiction, does_not_fit, not_on_the_wall
from service.domain.words import words
from service.physics.uncertainty import combined_standard, standard_from_half_width

_HALF_ANGLE_RAD = math.radians(policy.PREFERRED_BASE_ANGLE_DEG / 2)
_WALL_M = policy.LEAST_WALL_DISTANCE_M
_LEAST_DEPTH_M = policy.LEAST_PERSON_TO_SPEAKER_M


class Depth:
    """Where on the length things stand, from what a tape showed.

    `tape` has the readings and lists what is assumed, `rise_m` is how much higher the ears are than the speakers, and
    `aside_m` how far the chair is to the right of the middle of the pair.
    """

    def __init__(self, tape, *, rise_m, aside_m):
        self.tape, self.rise_m, self.aside_m = tape, rise_m, aside_m
        self.length_m = tape.length_m
        self.front_m, self.back_m = tape.told.front_wall_to_baffle_m, tape.told.back_wall_to_ears_m
        self.sofa = bool(tape.told.sofa_on_wall)
        self.distance_is = "measured"
        self.narrows = False

    def settled(self, half_m, told_m):
        """Return the front wall to the speakers, the back wall to the ears, and half the spacing.

        Parameters
        ----------
        half_m : float or None
            Half the spacing where that was told, 0 of one speaker. [m]
        told_m : float or None
            Listening distance. [m]
        """
        if half_m is None or self.front_m is None or self.back_m is None:
            self.distance_is = "assumed" if told_m is None else "told"
        if told_m is None and self.back_m is None and self.sofa:
            self._assume_sofa(DEFAULTS["sofa_to_ears_m"].value)
        if told_m is None and self.back_m is None and not half_m:
            told_m = self._usual_distance_m(half_m)
            self.distance_is = "usual"
        if told_m is not None:
            return self._from_distance(half_m, told_m)
        return self._from_walls(half_m)

    def distance_standard_m(self, half_m):
        """Return the standard uncertainty of the listening distance. [m]

        Notes
        -----
        Of what was assumed, by d^2 = depth^2 + half spacing^2 + rise^2 in first order.
        """
        if self.distance_is == "measured":
            return 0.0
        if self.distance_is == "told":
            return float(standard_from_half_width(policy.DISTANCE_HALF_WIDTH_M))
        if self.distance_is == "usual":
            return float(standard_from_half_width(policy.UNTOLD_DISTANCE_HALF_WIDTH_M))
        depth_m = self.length_m - self.front_m - self.back_m
        distance_m = self._distance_m(depth_m, half_m)
        share = {
            "front_wall_to_baffle_m": depth_m / distance_m,
            "back_wall_to_ears_m": depth_m / distance_m,
            "spacing_m": half_m / 2 / distance_m,
        }
        parts_m = [share[name] * half_width_m for name, half_width_m in self.tape.doubt_m.items() if name in share]
        return float(standard_from_half_width(combined_standard(parts_m)))

    def _from_walls(self, half_m):
        """No distance was told: the chair from the wall behind, or in a triangle of equal sides with the pair."""
        if self.front_m is None:
            behind_m = _WALL_M + half_m / math.tan(_HALF_ANGLE_RAD) if self.back_m is None else self.back_m
            self._assume_front(min(DEFAULTS["front_wall_distance_m"].value, max(self.length_m - behind_m, 0.6) / 2))
        if half_m is None:
            half_m = self._assume_half((self.length_m - self.front_m - self.back_m) * math.tan(_HALF_ANGLE_RAD))
        if self.back_m is None:
            longest_m = self._room_behind_m()
            back_m = self.length_m - self.front_m - min(half_m / math.tan(_HALF_ANGLE_RAD), longest_m)
            spread = (max(back_m - policy.CHAIR_SPREAD_M, policy.HEAD_TO_WALL_M), back_m + policy.CHAIR_SPREAD_M)
            self.back_m = self.tape.assumed(
                "back_wall_to_ears_m", back_m, why=words("assumptions.chair_in_triangle"), spread=spread
            )
        self._require_depth()
        return self.front_m, self.back_m, half_m

    def _from_distance(self, half_m, told_m):
        """The listening distance decides: depth from it and the spacing, or the spacing from it and the depth."""
        walls_known = self.front_m is not None and self.back_m is not None
        if half_m is None:
            in_plan_m = math.sqrt(max(told_m**2 - self.rise_m**2, 0.01))
            half_m = self._half_from_depth(told_m) if walls_known else self._assume_half(in_plan_m / 2)
        if walls_known:
            return self.front_m, self.back_m, half_m
        depth_m = self._depth_m(told_m, half_m)
        if self.back_m is not None:
            self.front_m = self.length_m - self.back_m - depth_m
            self._require_room(told_m, half_m, self.front_m, self.length_m - self.back_m)
        elif self.front_m is not None:
            self.back_m = self.length_m - self.front_m - depth_m
            self._require_room(told_m, half_m, self.back_m, self.length_m - self.front_m)
            low_m, high_m = policy.SOFA_ON_WALL_M
            if self.sofa and not low_m <= self.back_m <= high_m:
                raise not_on_the_wall(self.tape.request.pointer("listening_distance_m"), told_m, self.back_m)
        elif self.sofa:
            least_m = policy.SOFA_ON_WALL_M[0]
            free_m = self.length_m - depth_m
            self._require_room(told_m, half_m, free_m - least_m, self.length_m - least_m)
            self._assume_sofa(min(DEFAULTS["sofa_to_ears_m"].value, max(free_m - _WALL_M, least_m)))
            self.front_m = free_m - self.back_m
        else:
            free_m = self.length_m - _WALL_M - depth_m
            self._require_room(told_m, half_m, free_m - _WALL_M, self.length_m - 2 * _WALL_M)
            self._assume_front(min(DEFAULTS["front_wall_distance_m"].value, free_m))
            self.back_m = self.length_m - self.front_m - depth_m
        return self.front_m, self.back_m, half_m

    def _usual_distance_m(self, half_m):
        """A listening distance that nobody told, shorter where the room ends. [m]"""
        if self.front_m is None:
            self._assume_front(min(DEFAULTS["front_wall_distance_m"].value, self.length_m / 3))
        longest_m = self._room_behind_m()
        if half_m is None:
            half_m = min(longest_m * math.tan(_HALF_ANGLE_RAD), self._widest_m() / 2)
        default = DEFAULTS["listening_distance_m"]
        distance_m = min(default.value, math.floor(100 * self._distance_m(longest_m, half_m)) / 100)
        self.tape.assume.add(
            self.tape.request.pointer("listening_distance_m"),
            distance_m,
            why=default.why,
            source=default.source,
            spread=default.spread,
        )
        return distance_m

    def _room_behind_m(self):
        """Depth that a chair has behind the speakers. [m]"""
        depth_m = self.length_m - self.front_m - _WALL_M
        if depth_m < _WALL_M:
            raise self._front_does_not_fit(self.length_m - 2 * _WALL_M)
        return depth_m

    def _distance_m(self, depth_m, half_m):
        """Mean distance of the speakers from the ears. [m]"""
        near_m, far_m = half_m - self.aside_m, half_m + self.aside_m
        return sum(math.hypot(depth_m, self.rise_m, across_m) for across_m in (near_m, far_m)) / 2

    def _depth_m(self, distance_m, half_m):
        """Depth at which the mean distance is as told: the chair is on an ellipse with the speakers as foci. [m]"""
        square_m2 = 0.0
        if distance_m > max(half_m, abs(self.aside_m)):
            square_m2 = (distance_m**2 - half_m**2) * (1 - (self.aside_m / distance_m) ** 2) - self.rise_m**2
        if square_m2 <= _LEAST_DEPTH_M**2:
            least_m = self._distance_m(_LEAST_DEPTH_M, half_m)
            raise self._distance_does_not_fit(distance_m, least_m, self._distance_m(self.length_m, half_m))
        return math.sqrt(square_m2)

    def _half_from_depth(self, told_m):
        """Half the spacing that the distance leaves to a known depth. [m]"""
        depth_m = self.length_m - self.front_m - self.back_m
        axis_m = self.tape.axis_m
        most_m = min(axis_m, self.tape.width_m - axis_m)
        least_m, longest_m = self._distance_m(depth_m, 0.0), self._distance_m(depth_m, most_m)
        if not least_m < told_m < longest_m:
            reading_m = least_m if told_m <= least_m else longest_m
            raise contradiction(self.tape.request, "listening_distance_m", told_m, reading_m)
        rise_m2 = depth_m**2 + self.rise_m**2
        return math.sqrt(told_m**2 - rise_m2 / (1 - (self.aside_m / told_m) ** 2))

    def _assume_half(self, half_m):
        widest_m = self._widest_m()
        spacing_m = min(2 * half_m, widest_m)
        self.narrows = True
        low, high = policy.SPACING_SPREAD_RATIO
        spread = (low * spacing_m, min(high * spacing_m, widest_m))
        return self.tape.assumed("spacing_m", spacing_m, why=words("assumptions.spacing_m"), spread=spread) / 2

    def _widest_m(self):
        """Widest pair that is assumed, its middle as told. [m]"""
        side_m = min(self.tape.axis_m, self.tape.width_m - self.tape.axis_m)
        return 2 * max(side_m - _WALL_M, 0.2 * side_m)

    def _assume_front(self, front_m):
        default = DEFAULTS["front_wall_distance_m"]
        self.front_m = self.tape.assumed(
            "front_wall_to_baffle_m", front_m, why=default.why, spread=default.spread, source=default.source
        )

    def _assume_sofa(self, back_m):
        default = DEFAULTS["sofa_to_ears_m"]
        self.back_m = self.tape.assumed(
            "back_wall_to_ears_m", back_m, why=default.why, spread=default.spread, source=default.source
        )

    def _require_room(self, told_m, half_m, left_over_m, room_m):
        """Refuse a listening distance that leaves less than nothing of the room it has."""
        if left_over_m <= 0:
            widest_m = min(room_m * math.tan(_HALF_ANGLE_RAD), half_m) if self.narrows else half_m
            least_m = self._distance_m(_LEAST_DEPTH_M, 0.0 if self.narrows else half_m)
            raise self._distance_does_not_fit(told_m, least_m, self._distance_m(room_m, widest_m))

    def _require_depth(self):
        """Refuse speakers so far into the room that the chair has no place behind them."""
        most_m = self.length_m - self.back_m - _LEAST_DEPTH_M
        if self.front_m >= most_m:
            raise self._front_does_not_fit(most_m)

    def _front_does_not_fit(self, most_m):
        return does_not_fit(self.tape.told, "front_wall_to_baffle_m", self.front_m, low_m=0.0, high_m=most_m)

    def _distance_does_not_fit(self, distance_m, least_m, longest_m):
        return does_not_fit(self.tape.request, "listening_distance_m", distance_m, low_m=least_m, high_m=longest_m)
