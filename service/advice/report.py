"""The advice as text of 80 columns, for the command line."""

import textwrap

from service.advice.wording import grade_words, watts

_WIDTH = 80


def report(answer):
    """Return the advice as readable text.

    Parameters
    ----------
    answer : AdviceAnswer
        [-]
    """
    verdict, headroom = answer.verdict, answer.headroom
    blocks = [
        [verdict.headline + ".", f"This combination {grade_words(verdict.grade)}; the answer is {verdict.confidence}."],
        [
            f"Headroom {headroom.headroom_db:.1f} dB, give or take {headroom.uncertainty_db:.1f} dB; "
            f"{_in_ten(headroom.clean_peak_chance_pct)}."
        ],
        [finding.text for finding in answer.findings],
        _titled("What to do next", [f"{step.cost}: {step.text}" for step in answer.next_steps]),
        _titled("What would sharpen this answer", [question.text for question in answer.ask_next]),
        _titled("Take care", [caution.text for caution in answer.cautions]),
    ]
    text = "\n\n".join("\n".join(_wrapped(block)) for block in blocks if block)
    tables = [_level_table(answer), _band_table(answer), _place_table(answer), _mode_table(answer), _assumed(answer)]
    return "\n\n".join([text, *("\n".join(table) for table in tables if table)])


def _titled(title, lines):
    return [f"{title}:", *(f"- {line}" for line in lines)] if lines else []


def _wrapped(lines):
    for line in lines:
        yield from textwrap.wrap(line, _WIDTH, subsequent_indent="  " if line.startswith("- ") else "")


def _in_ten(chance_pct):
    """A chance as a person says it."""
    if chance_pct >= 99:
        return "the loudest peaks stay clean in nearly every such room"
    if chance_pct <= 1:
        return "the loudest peaks are clipped in nearly every such room"
    return f"the loudest peaks stay clean in about {chance_pct / 10:.0f} of 10 such rooms"


def _level_table(answer):
    level, exposure = answer.level, answer.exposure
    rows = [
        ("one speaker, free field, full output", f"{level.direct_single_db:.1f} dB"),
        ("steady peak level at the chair", f"{level.peak_spl_db:.1f} dB"),
        ("short peak level at the chair", f"{level.short_peak_db:.1f} dB"),
        (f"needed by {level.programme}", f"{level.peak_target_db:.1f} dB"),
        ("average level then", f"{exposure.average_level_dba:.0f} dB(A)"),
        ("average power a speaker then", watts(level.average_power_w)),
        *((f"limit: {limit.text}", f"{limit.peak_spl_db:.1f} dB") for limit in level.limits),
    ]
    return ["Level", *(line for name, value in rows for line in _row(name, value))]


def _row(name, value):
    """A name and its value; a long name takes several lines, the value stands on the last."""
    *before, last = textwrap.wrap(name, 58, subsequent_indent="  ")
    return [*(f"  {line}" for line in before), f"  {last:<60}{value:>12}"]


def _band_table(answer):
    bands = answer.level.bands
    lines = ["By octave, Hz            " + "".join(f"{octave:>6}" for octave in bands.octaves_hz)]
    for name, column in (
        ("direct, dB", bands.direct_db),
        ("reverberant, dB", bands.reverberant_db),
        ("at the chair, dB", bands.level_db),
    ):
        lines.append(f"  {name:<23}" + "".join(f"{value:>6.0f}" for value in column))
    lines.append(f"  {'reverberation time, s':<23}" + "".join(f"{value:>6.2f}" for value in answer.room.used_s))
    return lines


def _place_table(answer):
    if not answer.placement.placements:
        return []
    best = answer.placement.placements[0]
    lines = ["Where it goes, by tape measure"]
    lines += [
        f"  {mark.mark:>2}  {f'{mark.measure_from} to {mark.measure_to}':<52}{mark.cm:>4.0f} cm"
        f"  {mark.feet_and_inches:>13}"
        for mark in best.tape_measure
    ]
    tolerance = best.tolerance_cm
    between = "" if tolerance.spacing is None else f"{tolerance.spacing:.0f} cm (between them), "
    lines.append(
        f"  It may be off by {tolerance.front_wall_distance:.0f} cm (speakers), {between}"
        f"{tolerance.seat:.0f} cm (chair)."
    )
    return lines


def _mode_table(answer):
    modes = [mode for mode in answer.modes.modes if mode.kind == "axial"][:6]
    lines = ["Lowest resonances between two walls"]
    lines += [f"  {mode.frequency_hz:>6.1f} Hz, rings for {mode.decay_time_s:.2f} s" for mode in modes]
    return lines if modes else []


def _assumed(answer):
    lines = ["What was assumed"]
    for assumption in answer.assumptions:
        lines += textwrap.wrap(
            f"{_assumed_name(assumption)}: {assumption.why}", _WIDTH, initial_indent="  - ", subsequent_indent="    "
        )
    return lines


def _assumed_name(assumption):
    """The field and the value it was given, tables left out."""
    name, value = (assumption.pointer or "").strip("/"), assumption.value
    if isinstance(value, dict) and len(value) == 1:
        ((name, value),) = value.items()
    return name if isinstance(value, dict) else f"{name} {value}".strip()
