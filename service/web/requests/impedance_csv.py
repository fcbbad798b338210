"""An impedance curve that is written as CSV."""

from service.domain import load
from service.domain.errors import DomainError
from service.domain.limits import LIMITS
from service.domain.words import words


def points_of_csv(text, *, pointer):
    """Return the points of an impedance curve that is written as CSV with a header.

    Parameters
    ----------
    text : str
        A header with frequency_hz, magnitude_ohm and, if known, phase_deg, then one row for each frequency; columns
        parted by comma, semicolon or tab, numbers with a decimal point. [-]
    pointer : str
        JSON pointer of the text, for a refusal. [-]

    Raises
    ------
    DomainError
        The header lacks a column, or a row a number inside its range; each says in which line.
    """
    lines = [line.strip() for line in text.strip().splitlines() if line.strip()]
    parted_by = next((sign for sign in (";", "\t", ",") if sign in lines[0]), ",") if lines else ","
    header = [name.strip().lower() for name in lines[0].split(parted_by)] if lines else []
    missing = [name for name in ("frequency_hz", "magnitude_ohm") if name not in header]

    def refused(code, detail, given, allowed):
        return DomainError(pointer=pointer, code=code, detail=detail, given=given, allowed=allowed)

    if missing:
        detail = words("refusals_requests.csv.missing", names=missing)
        raise refused("missing", detail, header, list(_CSV_LIMITS))
    if len(lines) - 1 > load.MOST_CURVE_POINTS:
        allowed = words("refusals_requests.csv.too_long.allowed", most=load.MOST_CURVE_POINTS)
        raise refused("too_long", words("refusals_requests.csv.too_long"), len(lines) - 1, allowed)
    return tuple(_point(line, header, parted_by, number, refused) for number, line in enumerate(lines[1:], start=2))


_CSV_LIMITS = {"frequency_hz": "impedance_hz", "magnitude_ohm": "magnitude_ohm", "phase_deg": "phase_deg"}


def _point(line, header, parted_by, number, refused):
    cells = [cell.strip() for cell in line.split(parted_by)]
    if len(cells) != len(header):
        detail = words("refusals_requests.csv.columns", line=number, count=len(cells))
        raise refused("not_a_row", detail, line, words("refusals_requests.csv.columns.allowed", count=len(header)))
    values = {}
    for name, cell in zip(header, cells, strict=True):
        if name not in _CSV_LIMITS:
            continue
        limit = LIMITS[_CSV_LIMITS[name]]
        try:
            value = float(cell)
        except ValueError:
            detail = words("refusals_requests.csv.not_a_number", name=name, line=number)
            raise refused("not_a_number", detail, cell, limit.words) from None
        if not limit.allows(value):
            detail = words("refusals_requests.csv.out_of_range", name=name, line=number, range=limit.words)
            raise refused("out_of_range", detail, cell, limit.words)
        values[name] = value
    return load.ImpedancePoint(**values)
