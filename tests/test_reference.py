"""The reference data: complete, sourced, plausible, and free of known misprints."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from calculators import reference

PLAUSIBLE = {
    "moisture_percent_wet": (0, 97),
    "nitrogen_percent_dry": (0, 16),
    "carbon_to_nitrogen": (2, 1400),
    "bulk_density_kg_m3": (10, 1100),
    "organic_matter_percent_dry": (20, 100),
}
ASKED_FOR_MATERIALS = (
    "food_scraps",
    "vegetable_produce",
    "fruit",
    "cooked_food",
    "bread",
    "meat_scraps",
    "leaves",
    "dry_leaves",
    "grass_clippings",
    "shrub_trimmings",
    "tree_trimmings",
    "wheat_straw",
    "oat_straw",
    "straw",
    "sawdust",
    "wood_chips_hardwood",
    "wood_chips_softwood",
    "cattle_manure",
    "dairy_manure_solid",
    "horse_manure",
    "layer_manure",
    "broiler_litter",
    "coffee_grounds",
    "cardboard",
    "paper",
    "newsprint",
    "rice_hulls",
    "water_hyacinth",
    "fish_scrap",
    "coir_pith",
    "bagasse",
    "finished_compost",
    "screen_overs",
)
HAZARDS = {
    "machines",
    "electricity",
    "lifting",
    "heat",
    "dust_and_spores",
    "fire",
    "structure",
    "traffic",
    "pits",
    "food_safety",
    "sharps",
    "noise",
    "vermin",
}


def every_mapping(value: Any, place: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Every JSON object in ``value``, with the place it was found."""
    if isinstance(value, Mapping):
        yield place, value
        for name, item in value.items():
            yield from every_mapping(item, f"{place}.{name}")
    elif isinstance(value, tuple):
        for index, item in enumerate(value):
            yield from every_mapping(item, f"{place}[{index}]")


def every_row() -> list[tuple[str, Mapping[str, Any]]]:
    """Every object of every reference file."""
    return [found for name in reference.FILES for found in every_mapping(reference.load(name), name)]


def test_files_on_disk_are_the_ones_listed() -> None:
    folder = Path(reference.__file__).parent
    assert sorted(path.stem for path in folder.glob("*.json")) == sorted(reference.FILES)


@pytest.mark.parametrize("name", reference.FILES)
def test_no_key_is_written_twice(name: str) -> None:
    def refuse_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        assert len(pairs) == len({key for key, _ in pairs}), pairs
        return dict(pairs)

    path = Path(reference.__file__).parent / f"{name}.json"
    json.loads(path.read_text(encoding="utf-8"), object_pairs_hook=refuse_repeats)


@pytest.mark.parametrize("name", ["sources", "materials", "cautions"])
def test_rows_have_keys_of_their_own(name: str) -> None:
    keys = [row["key"] for row in reference.load(name)]
    assert len(keys) == len(set(keys))


def test_every_status_is_a_known_one() -> None:
    found = [(place, row["status"]) for place, row in every_row() if "status" in row]
    assert len(found) > 300
    assert [each for each in found if each[1] not in reference.STATUSES] == []
    assert set(reference.STATUS_MEANINGS) == set(reference.STATUSES)


def test_every_named_source_exists_and_carries_a_status() -> None:
    known = reference.sources()
    missing = [
        (place, key)
        for place, row in every_row()
        for key in [row.get("source"), *row.get("sources", ())]
        if key is not None and key not in known
    ]
    assert missing == []
    assert [place for place, row in every_row() if "source" in row and "status" not in row] == []


def test_every_number_of_a_row_has_a_source() -> None:
    """A row with a figure in it says where the figure comes from."""
    measures = {"typical", "value", "limit", "low", "high", "mass_kg", "men_kg", "per_worker_count"}
    unsourced = [place for place, row in every_row() if measures & set(row) and "source" not in row]
    assert unsourced == []


def test_every_source_is_used_or_is_generic() -> None:
    used = {key for _, row in every_row() for key in [row.get("source"), *row.get("sources", ())]}
    cases = Path(__file__).parent / "published" / "cases"
    used |= {json.loads(path.read_text(encoding="utf-8"))["source"] for path in cases.glob("*.json")}
    assert sorted(key for key, row in reference.sources().items() if not row.citation) == []
    assert {"common_practice", "chosen_here", "example_yard", "from_memory"} <= set(reference.sources())
    assert len(used & set(reference.sources())) > 50


def test_a_restated_source_says_where_it_was_read() -> None:
    silent = [
        row.key
        for row in reference.sources().values()
        if row.status == "restated" and not (row.read_in or row.note)
    ]
    assert silent == []


def test_addresses_are_web_addresses() -> None:
    for row in reference.sources().values():
        assert row.url is None or row.url.startswith(("https://", "http://")), row.key


def test_figures_lie_within_their_ranges() -> None:
    figures = [(place, row) for place, row in every_row() if "typical" in row]
    assert len(figures) > 250
    for place, row in figures:
        assert all(math.isfinite(row[name]) for name in ("low", "typical", "high")), place
        assert row["low"] <= row["typical"] <= row["high"], place
        if row.get("unit") == "fraction":
            assert row["low"] >= 0 and row["high"] <= 1, place


def test_the_materials_asked_for_are_there_and_whole() -> None:
    found = reference.materials()
    assert set(ASKED_FOR_MATERIALS) <= set(found)
    assert [key for key, row in found.items() if not row.usable_as_default] == []
    assert {row.group for row in found.values()} == {"food", "green", "brown", "manure", "other"}


@pytest.mark.parametrize("key", list(reference.materials()))
def test_a_material_is_plausible(key: str) -> None:
    found = reference.material(key)
    for name, (low, high) in PLAUSIBLE.items():
        for each in (getattr(found, name), *found.alternatives.get(name, ())):
            assert low <= each.low and each.high <= high, (key, name)
    # Organic matter is about 50-58 % carbon; a pair of nitrogen and C:N that implies much more is a
    # misprint or a mix of two tables. Biochar is nearly all carbon.
    carbon_percent = found.nitrogen_percent_dry.typical * found.carbon_to_nitrogen.typical
    share = carbon_percent / found.organic_matter_percent_dry.typical
    assert 0.25 <= share <= (0.9 if key == "biochar" else 0.66), (key, carbon_percent)


def test_food_scraps_keep_both_other_densities() -> None:
    found = reference.material("food_scraps")
    densities = {found.bulk_density_kg_m3.typical}
    densities |= {each.typical for each in found.alternatives["bulk_density_kg_m3"]}
    assert densities == {235, 455, 897}


def test_dry_leaves_are_drier_than_the_table() -> None:
    assert reference.material("dry_leaves").moisture_percent_wet.high == 20
    assert reference.material("leaves").moisture_percent_wet.typical == 38


def test_misprints_of_the_feedstock_tables_are_not_copied() -> None:
    """Dates made from ranges (27-Apr for 4-27), C:N of 1.8 and 1.9 for 18 and 19, coir at 4.02 % N."""
    text = (Path(reference.__file__).parent / "materials.json").read_text(encoding="utf-8")
    assert not any(month in text for month in ("-Apr", "-Dec", "Apr-", "Dec-"))
    assert reference.material("straw").moisture_percent_wet.low == 4
    assert reference.material("straw").moisture_percent_wet.high == 27
    assert reference.material("cattle_manure").carbon_to_nitrogen.typical == 19
    assert all(row.carbon_to_nitrogen.typical >= 3 for row in reference.materials().values())
    coir = reference.material("coir_pith")
    nitrogen = [coir.nitrogen_percent_dry, *coir.alternatives["nitrogen_percent_dry"]]
    assert all(each.high < 1.1 for each in nitrogen)


def test_every_table_of_bands_covers_its_scale_once() -> None:
    tables = [name for name, each in reference.load("standards_maturity").items() if each["kind"] == "bands"]
    assert len(tables) >= 6
    for name in tables:
        found = sorted(reference.bands(name), key=lambda band: -math.inf if band.low is None else band.low)
        assert found[-1].high is None, name
        for below, above in zip(found, found[1:], strict=False):
            assert below.high == above.low, name
            assert below.high_inclusive != above.low_inclusive, name
        edges = [band.high for band in found[:-1]]
        for value in [*edges, *(edge + 1e-6 for edge in edges), *(edge - 1e-6 for edge in edges)]:
            assert sum(band.holds(value) for band in found) == 1, (name, value)


def test_bands_refuse_what_they_do_not_cover() -> None:
    with pytest.raises(ValueError, match="outside"):
        reference.band_for("carbon_dioxide", -1)
    with pytest.raises(ValueError, match="outside"):
        reference.band_for("carbon_dioxide", math.nan)
    assert reference.band_for("self_heating", 35).key == "II"


def test_multiplier_table_falls_with_frequency_and_duration() -> None:
    rows = reference.rows_of("lifting", "frequency_multiplier")
    columns = [name for name in rows[0] if name.startswith("up_to")]
    assert len(columns) == 6
    for above, below in zip(rows, rows[1:], strict=False):
        assert above["lifts_per_minute"] < below["lifts_per_minute"]
        assert all(above[name] >= below[name] for name in columns)
    for row in rows:
        for height in ("low", "high"):
            hours = [row[f"up_to_{hours}_h_{height}"] for hours in (1, 2, 8)]
            assert hours == sorted(hours, reverse=True)
        assert all(row[f"up_to_{hours}_h_low"] <= row[f"up_to_{hours}_h_high"] for hours in (1, 2, 8))


def test_cautions_cover_every_hazard_in_plain_length() -> None:
    found = reference.cautions()
    assert 20 <= len(found) <= 45
    assert {row.hazard for row in found.values()} == HAZARDS
    for key, row in found.items():
        sentences = [each for each in row.text.replace("?", ".").split(". ") if each]
        assert 2 <= len(sentences) <= 5, key
        assert row.sources and row.title, key


def test_licensed_work_is_left_to_the_licensed() -> None:
    for key in ("licensed_electrician", "shed_structure", "wall_design"):
        text = reference.caution_text(key)
        assert "licensed" in text or "qualified" in text, key


def test_no_machine_or_workshop_words_in_the_data() -> None:
    folder = Path(reference.__file__).parent
    for path in folder.glob("*.json"):
        text = path.read_text(encoding="utf-8").lower()
        for word in ("/work/", "../shared", "localhost", "calculator app", "spreadsheet model"):
            assert word not in text, (path.name, word)


def test_unknown_names_are_refused_in_words() -> None:
    for ask, said in (
        (lambda: reference.load("nonesuch"), "reference file"),
        (lambda: reference.source("nonesuch"), "source"),
        (lambda: reference.material("nonesuch"), "material"),
        (lambda: reference.caution_text("nonesuch"), "caution"),
        (lambda: reference.bands("two_test_index"), "table of bands"),
        (lambda: reference.rows_of("heaps", "nonesuch"), "table in heaps"),
        (lambda: reference.rows_of("sources", "rows"), "table in sources"),
        (lambda: reference.figure("heaps", "stages", "nonesuch"), "figure"),
    ):
        with pytest.raises(reference.UnknownReference, match=said) as caught:
            ask()
        assert isinstance(caught.value, KeyError)
        assert not str(caught.value).startswith(("'", '"'))
    with pytest.raises(ValueError, match="status"):
        reference.cited("common_practice", "hearsay")


def test_loaded_data_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        reference.load("heaps")["stages"]["title"] = "x"
    assert isinstance(reference.load("sources"), tuple)


def test_a_figure_cites_its_source_with_its_own_status() -> None:
    found = reference.figure("heaps", "shrinkage", "volume_lost_fraction").cited()
    assert found.key == "arcc_2197"
    assert found.status == "published"


def case_files() -> list[Path]:
    """The published cases, one file a source."""
    return sorted((Path(__file__).parent / "published" / "cases").glob("*.json"))


@pytest.mark.parametrize("path", case_files(), ids=lambda path: path.stem)
def test_published_cases_are_whole(path: Path) -> None:
    held = json.loads(path.read_text(encoding="utf-8"))
    assert reference.source(held["source"]).citation and held["title"]
    ids = [case["id"] for case in held["cases"]]
    assert ids and len(ids) == len(set(ids))
    for case in held["cases"]:
        assert case["where"] and case["given"] and case["printed"], case["id"]
        assert case["calculates"].count(".") == 1, case["id"]
        assert case["status"] in reference.STATUSES, case["id"]
        assert case["expect"] in ("agrees", "disagrees"), case["id"]
        # A disagreement is shown with its reason, and a number with the rounding it was printed to.
        assert case["note"] or case["expect"] == "agrees", case["id"]
        numbers = {name for name, value in case["printed"].items() if type(value) in (int, float)}
        assert set(case["rounding"]) == numbers, case["id"]
