"""What is worth saying about first reflections: the strongest, where it comes off, what would tame it; the others."""

from service.advice.findings.finding import finding
from service.domain.words import words
from service.physics.room.target import EARLY_REFLECTION_LIMIT_DB, EARLY_REFLECTION_WINDOW_S

_AS_LOUD_WITHIN_DB = 0.5
_IN_LINE_WITHIN_M = 0.05


def reflections_findings(found, *, seat, speaker_count):
    """Return the finding about the strongest early reflection that is worth treating and about the others, or that
    none is.

    Parameters
    ----------
    found : list of ReflectionAnswer
        Strongest first. [-]
    seat : Place
        From which places are described as well. [-]
    speaker_count : int
        1 or 2. [-]
    """
    recommendation = {"below_limit_db": -EARLY_REFLECTION_LIMIT_DB}
    strong = [reflection for reflection in found if reflection.treatment is not None]
    if not strong:
        return [finding("reflections_are_weak", **recommendation, window_ms=1000 * EARLY_REFLECTION_WINDOW_S)]
    findings = [_strongest(strong[0], seat=seat, speaker_count=speaker_count, **recommendation)]
    if len(strong) > 1:
        surfaces = list(dict.fromkeys(reflection.surface for reflection in strong[1:]))
        variant = "one" if len(strong) == 2 else None
        findings.append(finding("more_reflections_to_treat", variant=variant, count=len(strong) - 1, surfaces=surfaces))
    return findings


def _strongest(first, *, seat, speaker_count, below_limit_db):
    origin = "one" if speaker_count == 1 else ("left", "right")[first.speaker - 1]
    variant, covering = "nothing_helps", {}
    if first.treatment.coverings:
        best = min(first.treatment.coverings, key=lambda each: each.level_1_to_8_khz_db)
        # the first that is able: they are listed from what people accept at home to what they accept in a studio
        chosen = next((each for each in first.treatment.coverings if each.reaches_limit), best)
        variant = None if chosen.reaches_limit else "not_all_of_it"
        covering = {"material": chosen.material, "left": _re_direct("left_", chosen.level_1_to_8_khz_db)}
    return finding(
        "treat_reflection",
        variant=variant,
        origin=words(f"reflections.origin.{origin}", surface=first.surface),
        how_loud=_how_loud(first.level_1_to_8_khz_db),
        where=_where(first, seat),
        speaker=first.speaker,
        surface=first.surface,
        level_1_to_8_khz_db=first.level_1_to_8_khz_db,
        delay_ms=first.delay_ms,
        area_m2=first.treatment.area_m2,
        absorption_pct=100 * first.treatment.absorption_coefficient,
        below_limit_db=below_limit_db,
        from_front_wall_m=first.point.x_m,
        from_left_wall_m=first.point.y_m,
        height_m=first.point.z_m,
        ahead_of_you_m=seat.x_m - first.point.x_m,
        right_of_you_m=first.point.y_m - seat.y_m,
        **covering,
    )


def _how_loud(level_db):
    if abs(level_db) < _AS_LOUD_WITHIN_DB:
        return words("reflections.as_loud")
    return _re_direct("", level_db)


def _re_direct(prefix, level_db):
    return words(f"reflections.{prefix}{'below' if level_db < 0 else 'above'}", difference_db=abs(level_db))


def _where(reflection, seat):
    """Where on its surface a reflection happens, from the walls and from the listener."""
    point = reflection.point
    ahead_m, right_m = seat.x_m - point.x_m, point.y_m - seat.y_m
    along = "beside" if abs(ahead_m) < _IN_LINE_WITHIN_M else "ahead" if ahead_m > 0 else "behind"
    across = "in_line" if abs(right_m) < _IN_LINE_WITHIN_M else "right" if right_m > 0 else "left"
    kind = {"left_wall": "side", "right_wall": "side", "floor": "flat", "ceiling": "flat"}.get(
        reflection.surface, "end"
    )
    return words(
        f"reflections.where.{kind}",
        from_front_wall_m=point.x_m,
        height_m=point.z_m,
        along=words(f"reflections.{along}", distance_m=abs(ahead_m)),
        across=words(f"reflections.{across}", distance_m=abs(right_m)),
    )
