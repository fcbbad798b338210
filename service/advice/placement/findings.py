"""What a search for a placement has to say: where to, what it gains, why, and what to give up where nothing fits."""

from service.advice.answers.common import Finding
from service.advice.answers.placement import PlacedAnswer
from service.advice.findings.finding import finding
from service.advice.placement.give_up import GiveUp
from service.advice.placement.merit import weighted_parts_db
from service.advice.policy import LEAVE_IT_BELOW_DB
from service.domain.words import words


def nothing_fits(give_up: GiveUp | None, *, count: int, too_large: bool) -> Finding:
    """Return the finding of a search without a result.

    Parameters
    ----------
    give_up : GiveUp or None
        What to give up first and what that would gain. [-]
    count : int
        Speakers. [-]
    too_large : bool
        Whether it was not searched at all. [-]
    """
    if too_large:
        return finding("search_too_large")
    variant = "one" if count == 1 else None
    if give_up is None:
        what = words("findings.give_up_first.nothing")
        return finding("nothing_fits", variant=variant, what_to_do=what, give_up_first=None)
    named = {} if give_up.zone is None else {"zone": give_up.zone}
    what = words(
        "findings.give_up_first.gain",
        give_up=words(f"findings.give_up_first.{give_up.name}", **named),
        bass_unevenness_db=give_up.best.parts.bass_unevenness_db,
    )
    values = {"give_up_first": give_up.name, "merit_without_db": give_up.best.merit_db}
    return finding("nothing_fits", variant=variant, what_to_do=what, **values, **named)


def placement_findings(
    best: PlacedAnswer,
    as_found: PlacedAnswer | None,
    *,
    low_hz: float,
    why: Finding | None,
    mid_room: bool,
    distances_cm: dict[str, float],
) -> list[Finding]:
    """Return the findings of a search that found places.

    Parameters
    ----------
    best : PlacedAnswer
        The winner. [-]
    as_found : PlacedAnswer or None
        [-]
    low_hz : float
        From where the bass is judged. [Hz]
    why : Finding or None
        That says why it wins. [-]
    mid_room : bool
        Whether the chair ends in mid-room. [-]
    distances_cm : dict
        From the walls behind the speakers and behind the seat. [cm]
    """
    variant = "one" if len(best.speakers) == 1 else None
    values = {
        **distances_cm,
        "front_wall": best.front_wall,
        "low_hz": low_hz,
        "bass_unevenness_db": best.parts.bass_unevenness_db,
        "hole_depth_db": -best.parts.deepest_hole_db,
        "deepest_hole_hz": best.parts.deepest_hole_hz,
    }
    gain_db = gain_of_moving_db(best, as_found)
    if as_found is None or gain_db is None:
        said = [finding("place_here", variant=variant, **values)]
    elif gain_db < LEAVE_IT_BELOW_DB:
        return [finding("leave_it", variant=variant, gain_db=gain_db)]
    else:
        said = [
            finding(
                "move",
                variant=variant,
                gain_db=gain_db,
                most_gained=_most_gained(as_found, best),
                found_hole_depth_db=-as_found.parts.deepest_hole_db,
                found_hole_hz=as_found.parts.deepest_hole_hz,
                **values,
            )
        ]
    if best.front_wall != (as_found.front_wall if as_found is not None else "front_wall"):
        said.append(finding("other_front_wall", front_wall=best.front_wall))
    if why is not None:
        said.append(why)
    if mid_room:
        said.append(finding("chair_in_mid_room"))
    return said


def gain_of_moving_db(best: PlacedAnswer | None, as_found: PlacedAnswer | None) -> float | None:
    """Return by how much the best place is better than the present one; None where one of them is not there. [dB]"""
    return None if best is None or as_found is None else as_found.merit - best.merit


def _most_gained(as_found: PlacedAnswer, winner: PlacedAnswer) -> str:
    """Part of the merit that moving improves most."""
    today, then = weighted_parts_db(as_found.parts), weighted_parts_db(winner.parts)
    return max(today, key=lambda name: today[name] - then[name])
