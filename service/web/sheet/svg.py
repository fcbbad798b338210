"""A drawing as SVG: attributes only, no style, so that it stands by itself and needs no allowance of a policy."""

from html import escape

from service.web.sheet.shapes import MM_PER_PT, SMALLEST_PT, Area, Disc, Label, Line

_SIZE_MM = SMALLEST_PT * MM_PER_PT


def to_svg(drawing):
    """Return a drawing as the text of an `svg` element, its size in millimetres.

    Parameters
    ----------
    drawing : Drawing
        What to draw. [-]
    """
    width, height = _n(drawing.width_mm), _n(drawing.height_mm)
    said = escape(drawing.description)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}mm" '
        f'height="{height}mm" role="img" aria-label="{said}" font-family="Source Sans Pro, Arial, sans-serif" '
        f'font-size="{_n(_SIZE_MM)}"><title>{said}</title>'
        + "".join(_WRITERS[type(shape)](shape) for shape in drawing.shapes)
        + "</svg>"
    )


def _n(number):
    return f"{number:.2f}".rstrip("0").rstrip(".")


def _grey(ratio):
    if ratio is None:
        return "none"
    level = round(255 * ratio)
    return f"#{level:02x}{level:02x}{level:02x}"


def _points(points):
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _dash(dash_mm):
    return f' stroke-dasharray="{_n(dash_mm[0])} {_n(dash_mm[1])}"' if dash_mm else ""


def _line(shape):
    return (
        f'<polyline points="{_points(shape.points)}" fill="none" stroke="#000" stroke-width="{_n(shape.width_mm)}" '
        f'stroke-linejoin="round"{_dash(shape.dash_mm)}/>'
    )


def _area(shape):
    outline = ' stroke="none"'
    if shape.width_mm:
        outline = f' stroke="#000" stroke-width="{_n(shape.width_mm)}"{_dash(shape.dash_mm)}'
    return f'<polygon points="{_points(shape.points)}" fill="{_grey(shape.grey_ratio)}"{outline}/>'


def _disc(shape):
    outline = ' stroke="#000" stroke-width="0.3"' if shape.grey_ratio is None else ""
    return (
        f'<circle cx="{_n(shape.x_mm)}" cy="{_n(shape.y_mm)}" r="{_n(shape.radius_mm)}" '
        f'fill="{_grey(shape.grey_ratio)}"{outline}/>'
    )


def _label(shape):
    x, y = _n(shape.x_mm), _n(shape.y_mm)
    weight = ' font-weight="bold"' if shape.bold else ""
    halo = ' stroke="#fff" stroke-width="0.9" paint-order="stroke"' if shape.on_white else ""
    turned = f' transform="rotate(-90 {x} {y})"' if shape.turned else ""
    return (
        f'<text x="{x}" y="{y}" text-anchor="{shape.anchor}" fill="#000"{weight}{halo}{turned}>'
        f"{escape(shape.text)}</text>"
    )


_WRITERS = {Line: _line, Area: _area, Disc: _disc, Label: _label}
