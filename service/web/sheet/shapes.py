"""What drawings are made of: a few shapes in millimetres on paper, x to the right and y down, in black and greys.

A drawing is described once, in `plan` and `curves`, and rendered twice: as SVG and into a PDF.
"""

from dataclasses import dataclass

SMALLEST_PT = 9.0
"""Smallest print of the sheet and its drawings."""

MM_PER_PT = 25.4 / 72

_MEAN_GLYPH_EM = 0.5
"""Mean width of a character of a book face, with digits and spaces. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line through points; `dash_mm` is dash and gap, None for a solid line."""

    points: tuple[tuple[float, float], ...]
    width_mm: float = 0.2
    dash_mm: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """A closed shape; `grey_ratio` is 0 for black and 1 for white, None for no filling; `width_mm` of the outline."""

    points: tuple[tuple[float, float], ...]
    grey_ratio: float | None = None
    width_mm: float = 0.0
    dash_mm: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Disc:
    """A filled circle, or a ring where `grey_ratio` is None."""

    x_mm: float
    y_mm: float
    radius_mm: float
    grey_ratio: float | None = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A line of text; `y_mm` is its base line, `anchor` is start, middle or end; `turned` reads upwards."""

    x_mm: float
    y_mm: float
    text: str
    anchor: str = "middle"
    bold: bool = False
    turned: bool = False
    on_white: bool = False

    @property
    def estimated_width_mm(self):
        """About how wide the text is. [mm]"""
        return estimated_width_mm(self.text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """Shapes on a piece of paper; `description` says in words what they show."""

    width_mm: float
    height_mm: float
    shapes: tuple[Line | Area | Disc | Label, ...]
    description: str


def estimated_width_mm(text):
    """About how wide a text in the smallest print is. [mm]"""
    return len(text) * _MEAN_GLYPH_EM * SMALLEST_PT * MM_PER_PT
