"""What it takes to forget about clipping."""

from service.advice import policy


def missing_for_comfort_db(headroom_db):
    """Return what a headroom lacks to be comfortable, 0 when it is enough. [dB]"""
    return max(policy.COMFORTABLE_HEADROOM_DB - headroom_db, 0.0)


def comfortable_power_w(power_w, *, headroom_db, limits):
    """Return the power with which the headroom would be comfortable, None where watts alone do not bring it.

    Parameters
    ----------
    power_w : float
        Power now. [W]
    headroom_db : float
        Headroom of the verdict. [dB]
    limits : list of LimitAnswer
        What ends the level, lowest first: watts help only as far as nothing else ends it. [-]
    """
    missing_db = missing_for_comfort_db(headroom_db)
    needed_w = power_w * 10 ** (missing_db / 10)
    first, *others = limits
    held_down = first.code != "amplifier_clipping" or any(
        limit.peak_spl_db < first.peak_spl_db + missing_db for limit in others
    )
    return None if held_down or needed_w > policy.MOST_SENSIBLE_POWER_W else needed_w
