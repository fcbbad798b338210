"""A room seen from a listener who faces another wall, so that one search serves all four: depth is always along x."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from service.physics.checks import OutOfRangeError
from service.physics.placement.search import Setting
from service.physics.types import FloatArray

_QUARTER_TURNS = {"front_wall": 0, "right_wall": 1, "back_wall": 2, "left_wall": 3}
_WALLS = {
    "front_wall": (0, 1, 2, 3, 4, 5),
    "right_wall": (3, 2, 0, 1, 4, 5),
    "back_wall": (1, 0, 3, 2, 4, 5),
    "left_wall": (2, 3, 1, 0, 4, 5),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Rotation:
    """From a room to the same room seen by a listener who faces one of its walls, and back.

    Attributes
    ----------
    facing : str
        The wall of the room that the listener faces: front_wall, right_wall, back_wall or left_wall.
    dimensions_m : tuple of float, length 3
        Inside length, width and height of the room. [m]

    Raises
    ------
    OutOfRangeError
        There is no such wall to face.

    Notes
    -----
    Turns about the vertical, no mirror: the listener's left stays left, and the wall that is faced becomes x = 0.

    Examples
    --------
    Facing the left wall, 1 m from it and 4 m from the front wall of a room of 5 by 3 m, the former back is on the left:

    >>> rotation = Rotation(facing="left_wall", dimensions_m=(5.0, 3.0, 2.5))
    >>> rotation.there_m([4.0, 1.0, 1.2]).tolist()  # 5 - 4 = 1 m from the wall on the left
    [1.0, 1.0, 1.2]
    """

    facing: str
    dimensions_m: tuple[float, float, float]

    def __post_init__(self) -> None:
        if self.facing not in _QUARTER_TURNS:
            raise OutOfRangeError(name="facing", value=self.facing, allowed=", ".join(_QUARTER_TURNS))

    @property
    def dimensions_there_m(self) -> tuple[float, float, float]:
        """Depth, breadth and height as the listener sees them. [m]"""
        length_m, width_m, height_m = self.dimensions_m
        across = _QUARTER_TURNS[self.facing] % 2
        return (width_m, length_m, height_m) if across else (length_m, width_m, height_m)

    def there_m(self, places_m: ArrayLike) -> FloatArray:
        """Return places (..., 3) as the listener sees them. [m]"""
        half_m, half_there_m = self._halves_m()
        return self.offsets_there_m(np.asarray(places_m, dtype=float) - half_m) + half_there_m

    def back_m(self, places_m: ArrayLike) -> FloatArray:
        """Return places (..., 3) that the listener sees in the room itself. [m]"""
        half_m, half_there_m = self._halves_m()
        return (np.asarray(places_m, dtype=float) - half_there_m) @ self._matrix() + half_m

    def offsets_there_m(self, offsets_m: ArrayLike) -> FloatArray:
        """Return differences of places (..., 3), or directions, as the listener sees them. [m]"""
        return np.asarray(offsets_m, dtype=float) @ self._matrix().T

    def bearing_there_rad(self, bearing_rad: ArrayLike) -> FloatArray:
        """Return directions from +x towards +y as the listener sees them. [rad]"""
        return np.asarray(bearing_rad) + np.pi / 2 * _QUARTER_TURNS[self.facing]

    def bearing_back_rad(self, bearing_rad: ArrayLike) -> FloatArray:
        """Return directions that the listener sees in the room itself. [rad]"""
        return np.asarray(bearing_rad) - np.pi / 2 * _QUARTER_TURNS[self.facing]

    def walls_there(self, values: ArrayLike) -> FloatArray:
        """Return values of the six walls (6, ...) in the order in which the listener sees them. [-]"""
        return np.asarray(values)[list(_WALLS[self.facing])]

    def setting(self, setting: Setting) -> Setting:
        """Return the setting of a search as the listener sees it.

        Parameters
        ----------
        setting : Setting
            Of the room itself, seat offsets included. [-]

        Returns
        -------
        Setting
        """
        admittance = self.walls_there(setting.box.admittance_ratio)
        return replace(
            setting,
            box=replace(setting.box, dimensions_m=self.dimensions_there_m, admittance_ratio=admittance),
            seat_offsets_m=self.offsets_there_m(setting.seat_offsets_m),
            treble_absorption=self.walls_there(setting.treble_absorption),
        )

    def _matrix(self) -> FloatArray:
        x, y = ((1, 0), (0, 1), (-1, 0), (0, -1))[_QUARTER_TURNS[self.facing]]
        return np.array([[x, -y, 0], [y, x, 0], [0, 0, 1]], dtype=float)

    def _halves_m(self) -> tuple[FloatArray, FloatArray]:
        return np.array(self.dimensions_m) / 2, np.array(self.dimensions_there_m) / 2
