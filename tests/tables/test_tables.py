"""Reference tables: every row has known sources and plausible values, and the printed values are those in print."""

import pytest

from service.domain.limits import LIMITS
from service.tables import loader
from service.tables.loader import _rows

STATUSES = {"seen in a secondary transcription", "from memory"}
UNITS = {"absorption_coefficient", "m2_per_object", "m2_per_person"}


def test_references_are_complete():
    for key, source in loader.references().items():
        assert key == source.key
        assert source.title, key
        assert source.seen, key
        assert source.kind in {"standard", "book", "paper", "regulation", "practice"}, key
        assert source.year == 0 if key in {"ours", "practice"} else 1850 < source.year < 2030, key


@pytest.mark.parametrize("name", ["materials", "programmes", "spectra", "default_times"])
def test_every_row_names_known_sources(name):
    for row in _rows(f"{name}.csv"):
        cell = row.get("sources") or row["source"]
        assert set(cell.split(";")) <= set(loader.references()), row


@pytest.mark.parametrize("name", ["materials", "programmes", "spectra"])
def test_ids_are_unique(name):
    ids = [row["id"] for row in _rows(f"{name}.csv")]
    assert len(ids) == len(set(ids))
    assert list(getattr(loader, name)()) == ids


def test_materials_are_inside_the_limits():
    limit = LIMITS["absorption_coefficient"]
    for row in loader.materials().values():
        values = [value for value in row.by_octave if value is not None]
        assert row.unit in UNITS, row.id
        assert len(values) >= 6, row.id
        assert all(value >= 0 for value in values), row.id
        if row.unit == "absorption_coefficient":
            assert all(limit.allows(value) for value in values), row.id
        else:
            assert all(value < 1.5 for value in values), row.id


def test_bands_that_no_source_prints_are_left_out():
    # 63 Hz is printed for one row only
    with_63 = [row.id for row in loader.materials().values() if row.by_octave[0] is not None]
    assert with_63 == ["seating_upholstered"]


def test_statuses_are_stated():
    for row in loader.materials().values():
        assert row.status in STATUSES, row.id


def test_rows_from_memory_say_so():
    # the table of objects of EN 12354-6 was not at hand
    from_memory = {row.id for row in loader.materials().values() if row.status == "from memory"}
    assert from_memory == {"chair_wood", "chair_upholstered", "person_sparse_min", "person_sparse_max"}
    assert {loader.materials()[name].sources for name in from_memory} == {("EN-12354-6",)}


def test_number_of_rows():
    assert len(loader.materials()) == 62  # 58 seen in a handbook transcription, 4 from memory


@pytest.mark.parametrize(
    ("identifier", "printed", "source"),
    [
        # Everest, Master Handbook of Acoustics; Long; Bies, Hansen and Howard; Cox and D'Antonio: 125 Hz to 4 kHz
        ("gypsum_13_studs", (0.29, 0.10, 0.05, 0.04, 0.07, 0.09), "EVEREST-HANDBOOK"),
        ("carpet_heavy_underlay", (0.08, 0.24, 0.57, 0.69, 0.71, 0.73), "EVEREST-HANDBOOK"),
        ("concrete_floor", (0.01, 0.01, 0.015, 0.02, 0.02, 0.02), "EVEREST-HANDBOOK"),
        ("acoustic_tile_19", (0.09, 0.28, 0.78, 0.84, 0.73, 0.64), "EVEREST-HANDBOOK"),
        ("glass_window", (0.35, 0.25, 0.18, 0.12, 0.07, 0.04), "BIES-2017"),
        ("plaster_on_lath", (0.14, 0.10, 0.06, 0.05, 0.04, 0.03), "EVEREST-HANDBOOK"),
        ("wool_50_24", (0.27, 0.54, 0.94, 1.0, 1.0, 1.0), "BIES-2017"),
        ("wool_100_48", (0.65, 1.0, 1.0, 1.0, 1.0, 1.0), "BIES-2017"),
        ("door_solid", (0.14, 0.10, 0.06, 0.08, 0.10, 0.10), "COX-DANTONIO-2017"),
        ("person_seated", (0.23, 0.37, 0.44, 0.45, 0.45, 0.45), "BIES-2017"),
        ("musician", (0.37, 0.79, 1.07, 1.30, 1.39, 1.11), "LONG-2014"),
    ],
)
def test_printed_absorption(identifier, printed, source):
    row = loader.materials()[identifier]
    assert row.by_octave[1:7] == printed
    assert source in row.sources


def test_square_feet_were_converted():
    # Long prints 4, 8.5, 11.5, 14, 15, 12 sabin in ft2: times 0.092903 m2
    square_feet = (4, 8.5, 11.5, 14, 15, 12)
    assert loader.materials()["musician"].by_octave[1:7] == pytest.approx(
        [0.092903 * a for a in square_feet], abs=0.005
    )


def test_porous_rows_fall_towards_the_bass_and_hard_rows_hold():
    falls = {row.id for row in loader.materials().values() if row.falls_below_lowest_band}
    assert {"wool_50_24", "carpet_heavy_underlay", "curtain_heavy_half", "fibre_25", "acoustic_tile_19"} <= falls
    assert not {"gypsum_13_studs", "glass_window", "plaster_on_brick", "wood_floor_joists", "tile_marble"} & falls


def test_programme_noise_as_printed():
    # IEC 60268-1:1985, Table II: third octaves 20 Hz to 20 kHz re the plateau
    printed = [-13.5, -10.2, -7.4, -5.2, -3.5, -2.3, -1.4, -0.9, -0.5, -0.2, -0.1, *[0.0] * 6, -0.1, -0.3, -0.6, -1.0]
    printed += [-1.6, -2.5, -3.7, -5.1, -7.0, -9.4, -11.9, -14.8, -18.2, -21.6]
    spectrum = loader.spectra()["programme_noise"]
    assert list(spectrum.third_octave_levels_db) == printed
    assert spectrum.source == "IEC-60268-1"


def test_other_spectra_are_ours_and_say_how_they_were_made():
    for identifier in ("bass_heavy", "voice_and_small_ensemble"):
        spectrum = loader.spectra()[identifier]
        assert spectrum.source == "ours"
        assert "no source" in spectrum.why
        assert len(spectrum.third_octave_levels_db) == 31
    noise = loader.spectra()["programme_noise"].third_octave_levels_db
    heavy = loader.spectra()["bass_heavy"].third_octave_levels_db
    # 4 dB more from 40 to 100 Hz, 2 dB more at 31.5 and 125 Hz
    assert [b - a for a, b in zip(noise, heavy, strict=True)] == pytest.approx([0, 0, 2, 4, 4, 4, 4, 4, 2] + [0] * 22)


def test_programmes_have_reasons():
    for row in loader.programmes().values():
        assert 50 <= row.average_level_db <= 100
        assert 10 <= row.crest_factor_db <= 20
        assert row.why
        assert row.description


def test_default_times_say_which_octaves_are_printed():
    sources = {row["octave_hz"]: row["source"] for row in _rows("default_times.csv")}
    assert [octave for octave, source in sources.items() if source == "JACKSON-LEVENTHALL-1972"] == ["125", "8000"]
    assert all(row["why"] for row in _rows("default_times.csv"))


def test_tables_are_read_once_and_cannot_be_changed():
    assert loader.materials() is loader.materials()
    with pytest.raises(TypeError):
        loader.materials()["new"] = None
