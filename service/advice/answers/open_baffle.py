"""Answer about an open baffle: where it falls, what flat bass needs, how large it has to be."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from service.advice.answers.common import Answer, Column


@dataclass(frozen=True, kw_only=True)
class BaffleLimitAnswer:
    """Where the response is down by a loss, against the pass band in half space."""

    loss_db: float
    baffle_alone_hz: Annotated[float, "by the path around the baffle alone"]
    with_driver_hz: Annotated[float, "with the driver's own resonance; nothing above it is down by more"]


@dataclass(frozen=True, kw_only=True)
class BaffleCurveAnswer:
    """Response on the axis, in the far field and without a room, against the pass band in half space."""

    frequency_hz: Column
    baffle_db: Annotated[Column, "of the path around the baffle"]
    driver_db: Annotated[Column, "of the driver's resonance"]
    level_db: Annotated[Column, "of both"]


@dataclass(frozen=True, kw_only=True)
class FlatBassAnswer:
    """What makes the bass flat, and the travel that it takes at the level wanted."""

    flat_down_to_hz: float
    most_gain_db: Annotated[float, "highest gain of the equaliser"]
    most_power_ratio: Annotated[float, "power at that gain against the power without it"]
    level_db: Annotated[float, "wanted level of a bass tone, rms, in free field"]
    distance_m: float
    frequency_hz: Annotated[Column, "from flat_down_to_hz upwards"]
    gain_db: Annotated[Column, "of the equaliser"]
    excursion_m: Annotated[np.ndarray | None, "peak travel one way at the level wanted; null: no driver area told"]
    excursion_at_lowest_m: Annotated[float | None, "at flat_down_to_hz"]
    highest_level_db: Annotated[float | None, "that the driver's travel allows at flat_down_to_hz"]
    travel_suffices_from_hz: Annotated[
        float | None, "from here up the travel suffices for the level wanted; null: nowhere, or no driver told"
    ]


@dataclass(frozen=True, kw_only=True)
class BaffleSizeAnswer:
    """A size that is down by a loss at the wanted frequency; null where the driver alone has lost more."""

    loss_db: float
    height_to_width_ratio: float
    width_m: float | None
    height_m: float | None


@dataclass(frozen=True, kw_only=True)
class OpenBaffleAnswer(Answer):
    """An open baffle with its driver."""

    path_length_m: Annotated[float, "from front to back around the baffle"]
    full_level_from_hz: Annotated[float, "from here up the baffle loses nothing"]
    limits: list[BaffleLimitAnswer]
    curve: BaffleCurveAnswer
    flat_bass: FlatBassAnswer
    wanted_hz: Annotated[float, "that the sizes reach"]
    sizes: Annotated[list[BaffleSizeAnswer], "of the shape told, a square, and twice as high as wide"]
