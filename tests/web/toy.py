"""A toy service for the tests of the web layer: invented shapes and ranges, no acoustics."""

from dataclasses import dataclass
from typing import Annotated, Literal

import numpy as np

from service.domain.errors import DomainError
from service.domain.limits import Limit
from service.web.http.app import create_app
from service.web.operation import Operation
from service.web.reading import fields
from service.web.reading.schema_base import RequestSchema, StrictSchema

SIDE = Limit(minimum=1, maximum=50)
GAIN = Limit(minimum=0, maximum=4, above=True)
COUNT = Limit(minimum=1, maximum=9)


class TooNarrowError(ValueError):
    """What the physics raises, seen from outside: a ValueError that says name, value and what is allowed."""

    def __init__(self, *, name, value, allowed):
        self.name, self.value, self.allowed = name, value, allowed
        super().__init__(name)


@dataclass(frozen=True, kw_only=True)
class Crate:
    length_m: float
    width_m: float
    note: str | None = None

    def __post_init__(self):
        if self.width_m > self.length_m:
            raise DomainError(
                pointer="/length_m",
                code="out_of_range",
                detail="a crate is longer than wide",
                given=self.length_m,
                allowed=f"at least {self.width_m:g}",
            )
        if self.width_m == 13:
            raise DomainError(pointer="/width_m", code="unlucky", detail="no crate is 13 m wide", given=13.0)


class CrateSchema(StrictSchema):
    """A box for the tests."""

    class Meta:
        title = "Crate"
        description = "A box."

    length_m = fields.Number(SIDE, required=True, unit="m", description="Inside length.")
    width_m = fields.Number(SIDE, required=True)
    label = fields.Text(max_length=12)

    def make(self, data):
        return Crate(length_m=data["length_m"], width_m=data["width_m"])


class ItemSchema(StrictSchema):
    exactly_one_of = (("mass_kg", "volume_m3"),)

    mass_kg = fields.Number(GAIN)
    volume_m3 = fields.Number(GAIN)


class GridSchema(StrictSchema):
    from_hz = fields.Number(SIDE, required=True)
    to_hz = fields.Number(SIDE, required=True)


class PackSchema(RequestSchema):
    at_most_one_of = (("colour", "shade"),)

    crate = fields.Block(CrateSchema, required=True)
    items = fields.ListOf(fields.Block(ItemSchema), max_length=3)
    tags = fields.ListOf(fields.Text(max_length=5), max_length=40, min_length=0)
    frequency_hz = fields.ListOrBlock(fields.NumberArray(SIDE, max_length=2000), fields.Block(GridSchema))
    weights = fields.NumberArray(GAIN, max_length=60, min_length=2)
    gain = fields.Number(GAIN, default=2)
    count = fields.Whole(COUNT)
    colour = fields.Choice(["red", "green", "blue"], description="Paint.")
    shade = fields.Choice(["light", "dark"])
    polarity = fields.Choice([1, -1])
    sealed = fields.Flag()


@dataclass(frozen=True, kw_only=True)
class PackedItem:
    """One packed item."""

    name: str
    mass_kg: Annotated[float | None, "Mass, or null."]


@dataclass(frozen=True, kw_only=True)
class Packed:
    """What was packed,
    and how it fits.

    The rest of the docstring stays out of the specification.
    """

    area_m2: Annotated[float, "Floor area."]
    grade: Literal["loose", "tight"]
    items: list[PackedItem]
    best: Annotated[PackedItem | None, "The heaviest."]
    orders: tuple[int, int]
    names: tuple[str, ...]
    times_s: dict[str, np.ndarray]
    curve_db: Annotated[np.ndarray, "Level, null where there is none."]
    sealed: bool


def pack(request):
    crate = request["crate"]
    if crate.length_m == 49:
        raise DomainError(
            pointer="/crate/length_m",
            code="no_lorry",
            detail="no lorry is 49 m long",
            given=49.0,
            allowed="below 49",
        )
    if crate.length_m == 48:
        raise RuntimeError("secret of the house")
    if crate.length_m == 47:
        raise TooNarrowError(name="inner", value=1.0, allowed="something of the physics' own")
    item = PackedItem(name="box", mass_kg=None)
    return Packed(
        area_m2=crate.length_m * crate.width_m,
        grade="loose",
        items=[item],
        best=item,
        orders=(1, 2),
        names=("a", "b"),
        times_s={"x": np.array([0.5, np.nan])},
        curve_db=np.array([1.23456, np.nan]),
        sealed=request.get("sealed", False),
    )


@dataclass(frozen=True, kw_only=True)
class Colours:
    """The colours known."""

    colours: list[str]


def example():
    return {
        "note": "A packer asks whether it fits.",
        "crate": {"length_m": 6.5, "width_m": 4},
        "items": [{"mass_kg": 2.5}, {"volume_m3": 0.5}],
        "tags": ["a", "b"],
        "frequency_hz": {"from_hz": 2, "to_hz": 40},
        "weights": [1, 2.5],
        "count": 3.0,
        "colour": "red",
        "polarity": -1,
        "sealed": True,
    }


PACK = Operation(
    method="POST",
    path="/v1/pack",
    operation_id="pack",
    tag="packing",
    summary="Pack a crate",
    description="Tells how a crate packs.",
    compute=pack,
    request_schema=PackSchema,
    answer_type=Packed,
    example=example,
)
COLOURS = Operation(
    method="GET",
    path="/v1/colours",
    operation_id="colours",
    tag="tables",
    summary="The colours",
    description="Lists the colours.",
    compute=lambda: Colours(colours=["red", "green"]),
    request_schema=None,
    answer_type=Colours,
)
OPERATIONS = (PACK, COLOURS)


def create_toy_app(**options):
    return create_app(OPERATIONS, **options)
