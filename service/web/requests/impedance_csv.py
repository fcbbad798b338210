"""An impedance curve that is written as CSV."""

from service.domain import load
from service.domain.errors import DomainError
from service.domain.limits import LIMITS


def points_of_csv(text):
    """Return the points of an impedance curve that is written as CSV with a header.

    Parameters
    ----------
    text : str
        A header with frequency_hz, magnitude_ohm and, if known, phase_deg, then one row for each frequency; columns
        parted by comma, semicolon or tab, numbers with a decimal point. [-]

    Raises
    ------
    DomainError
        The header lacks a column, or a row a number inside its range; each says in which line.
    """
    lines = [line.strip() for line in text.strip().splitlines() if line.strip()]
    parted_by = next((sign for sign in (";", "\t", ",") if sign in lines[0]), ",") if lines else ","
    header = [name.strip().lower() for name in lines[0].split(parted_by)] if lines else []
    missing = [name for name in ("frequency_hz", "magnitude_ohm") if name not in header]
    if missing:
        raise _refused("missing", f"its first line lacks {' and '.join(missing)}.", header, list(_CSV_LIMITS))
    if len(lines) - 1 > load.MOST_CURVE_POINTS:
        raise _refused("too_long", "it has too many rows.", len(lines) - 1, f"at most {load.MOST_CURVE_POINTS}")
    return tuple(_point(line, header, parted_by, number) for number, line in enumerate(lines[1:], start=2))


_CSV_LIMITS = {"frequency_hz": "impedance_hz", "magnitude_ohm": "magnitude_ohm", "phase_deg": "phase_deg"}


def _point(line, header, parted_by, number):
    cells = [cell.strip() for cell in line.split(parted_by)]
    if len(cells) != len(header):
        raise _refused(
            "not_a_row", f"line {number} has {len(cells)} columns.", line, f"{len(header)} columns, as the header"
        )
    values = {}
    for name, cell in zip(header, cells, strict=True):
        if name not in _CSV_LIMITS:
            continue
        limit = LIMITS[_CSV_LIMITS[name]]
        try:
            value = float(cell)
        except ValueError:
            raise _refused("not_a_number", f"{name} in line {number} is not a number.", cell, limit.words) from None
        if not limit.allows(value):
            raise _refused("out_of_range", f"{name} in line {number} must be {limit.words}.", cell, limit.words)
        values[name] = value
    return load.ImpedancePoint(**values)


def _refused(code, detail, given, allowed):
    return DomainError(
        pointer="/impedance_csv", code=code, detail=f"impedance_csv: {detail}", given=given, allowed=allowed
    )
