"""Product quality: every limit at, under and over its edge as its publication words it; units, bases, detection, verdicts.

Limits typed here are those of the works named in the reference data; they are typed again, not read from it.
"""

from __future__ import annotations

import math
from typing import Any

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.declare import CannotSolve, declared
from calculators.plan import Plan, Result
from calculators.topics import quality
from calculators.units import show
from calculators.working import Working

METALS = ("arsenic", "cadmium", "chromium", "copper", "lead", "mercury", "molybdenum", "nickel", "selenium", "zinc", "cobalt")
# grade: limits of METALS in order, None where it has none
TABLES: dict[str, tuple[float | None, ...]] = {
    "us_503_table3": (41, 39, None, 1500, 300, 17, None, 420, 100, 2800, None),
    "us_503_ceiling": (75, 85, None, 4300, 840, 57, 75, 420, 100, 7500, None),
    "california": (41, 39, None, 1500, 300, 17, None, 420, 100, 2800, None),
    "eu_soil_improver": (None, 2, None, 300, 120, 1, None, 50, None, 800, None),
    "eu_organic": (None, 0.7, 70, 70, 45, 0.4, None, 25, None, 200, None),
    "germany_20": (None, 1.5, 100, 100, 150, 1, None, 50, None, 400, None),
    "germany_30": (None, 1, 70, 70, 100, 0.7, None, 35, None, 300, None),
    "switzerland": (None, 1, None, 100, 120, 1, None, 30, None, 400, None),
    "uk_pas100": (None, 1.5, 100, 200, 200, 1, None, 50, None, 400, None),
    "canada_a": (13, 3, 210, 400, 150, 0.8, 5, 62, 2, 700, 34),
    "canada_b": (75, 20, None, None, 500, 5, 20, 180, 14, 1850, 150),
    "ontario_aa": (13, 3, 210, 100, 150, 0.8, 5, 62, 2, 500, 34),
    "australia": (20, 1, 100, 150, 150, 1, None, 60, 5, 300, None),
    "india_city": (None, 5, 50, 300, 100, 0.15, None, 50, None, 1000, None),
    "india_prom": (None, 5, 50, 300, 100, 0.15, None, 50, None, 1000, None),
    "india_manure": (None, 5, 50, 300, 100, 0.15, None, 50, None, 1000, None),
    "india_vermi": (None, 5, 50, None, 100, None, None, 50, None, None, None),
}
CASES = [(grade, metal, limit) for grade, row in TABLES.items() for metal, limit in zip(METALS, row, strict=True) if limit]
OTHERS = [
    # grade, parameter, passing, at the limit, failing; and what 'at the limit' is by the wording
    ("us_503_table3", "salmonella_4g", 1, 3, 4, "fails"), ("california", "faecal_coliforms", 999, 1000, 2000, "fails"),
    ("california", "impurities_4mm", 0.4, 0.5, 0.6, "meets"), ("minnesota", "conductivity", 9.9, 10, 11, "fails"),
    ("minnesota", "impurities_2mm", 0.99, 1, 1.1, "fails"), ("minnesota", "ph", 8.4, 8.5, 8.6, "meets"),
    ("minnesota", "ph", 5.6, 5.5, 5.4, "meets"), ("minnesota", "organic_matter", 31, 30, 29, "meets"),
    ("minnesota", "organic_matter", 64, 65, 66, "meets"), ("india_city", "carbon_to_nitrogen", 19.9, 20, 21, "fails"),
    ("india_city", "bulk_density", 0.99, 1.0, 1.1, "fails"), ("india_city", "ph", 7.4, 7.5, 7.6, "meets"),
    ("india_city", "conductivity", 3.9, 4.0, 4.1, "meets"), ("india_city", "through_4mm", 91, 90, 89, "meets"),
    ("india_prom", "bulk_density", 1.5, 1.6, 1.7, "fails"), ("india_prom", "ph", 6.6, 6.7, 6.8, "meets"),
    ("india_prom", "conductivity", 8.1, 8.2, 8.3, "meets"), ("india_vermi", "bulk_density", 0.71, 0.7, 0.69, "meets"),
    ("india_vermi", "bulk_density", 0.89, 0.9, 0.91, "meets"), ("india_manure", "ph", 6.1, 6.0, 5.9, "meets"),
    ("eu_soil_improver", "e_coli", 999, 1000, 1001, "meets"), ("eu_soil_improver", "pah16", 5.9, 6, 6.1, "meets"),
    ("eu_soil_improver", "chromium_vi", 1.9, 2, 2.1, "meets"), ("eu_soil_improver", "arsenic_inorganic", 39, 40, 41, "meets"),
    ("eu_soil_improver", "plastic_2mm", 0.24, 0.25, 0.26, "meets"), ("eu_soil_improver", "impurities_2mm", 0.4, 0.5, 0.6, "meets"),
    ("eu_by_products", "e_coli", 999, 1000, 1001, "meets"), ("germany_20", "impurities_2mm", 0.4, 0.5, 0.51, "meets"),
    ("germany_20", "stones_10mm", 4.9, 5, 5.1, "meets"), ("germany_20", "weed_seeds", 1, 2, 3, "meets"),
    ("switzerland", "impurities_2mm", 0.3, 0.4, 0.41, "meets"), ("switzerland", "plastic_2mm", 0.09, 0.1, 0.11, "meets"),
    ("uk_pas100", "impurities_2mm", 0.24, 0.25, 0.26, "meets"), ("canada_a", "pieces_25mm", 0, 1, 2, "meets"),
    ("canada_b", "faecal_coliforms", 999, 1000, 1001, "fails"), ("ontario_aa", "conductivity", 3.9, 4, 4.1, "fails"),
    ("australia", "e_coli", 99, 100, 101, "fails"), ("australia", "plastic_film_5mm", 0.04, 0.05, 0.06, "meets"),
    ("who_2006", "helminth_eggs", 0.5, 1, 2, "fails"), ("who_2006", "e_coli", 999, 1000, 1001, "fails"),
]  # fmt: skip


def solved(rows: list[tuple[Any, ...]], moisture: float | None = None, rule: str | None = None) -> quality.Outputs:
    return quality.solve(quality.Inputs(moisture, tuple(rows), rule), Working())


def row(parameter: str, value: float, unit: str = "usual", basis: str = "dry", below: bool = False) -> tuple[Any, ...]:
    return (parameter, value, unit, basis, below)


# ---- every limit ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("grade", "metal", "limit"), CASES, ids=[f"{grade}-{metal}" for grade, metal, _ in CASES])
def test_metals_under_at_and_over(grade: str, metal: str, limit: float) -> None:
    """Every table forbids to exceed its figure: the figure itself meets it."""
    assert [quality.judge_one(grade, metal, limit * times) for times in (0.99, 1, 1.001)] == ["meets", "meets", "fails"]


@pytest.mark.parametrize(("grade", "parameter", "good", "edge", "bad", "on_edge"), OTHERS, ids=lambda value: str(value))
def test_other_limits_under_at_and_over(grade: str, parameter: str, good: float, edge: float, bad: float, on_edge: str) -> None:
    assert [quality.judge_one(grade, parameter, value) for value in (good, edge, bad)] == ["meets", on_edge, "fails"]


@pytest.mark.parametrize(("grade", "least"), [("india_city", (12, 0.8, 0.4, 0.4)), ("india_prom", (7.9, 0.4, 10.4, None)),
                                              ("india_vermi", (18, 1.0, 0.8, 0.8)), ("india_manure", (14, 0.5, 0.5, 0.5))])  # fmt: skip
def test_least_nutrients_as_received(grade: str, least: tuple[float | None, ...]) -> None:
    """The text names no basis, so the harder one counts: as received."""
    for parameter, limit in zip(("organic_carbon", "nitrogen", "phosphate", "potash"), least, strict=True):
        if limit is None:
            continue
        assert [quality.judge_one(grade, parameter, limit * times, basis="wet") for times in (1.01, 1, 0.99)] == ["meets", "meets", "fails"]
        assert quality.judge_one(grade, parameter, limit / 0.8, moisture_percent=20) == "meets"
        assert quality.judge_one(grade, parameter, limit / 0.8 * 0.99, moisture_percent=20) == "fails"
        assert quality.judge_one(grade, parameter, limit * 1.2) == "can't tell"  # of dry mass, moisture not known
        assert quality.judge_one(grade, parameter, limit * 0.9) == "fails"  # too little even of dry mass


def test_moisture_limits() -> None:
    for grade, low, high in (("india_city", 15, 25), ("india_vermi", 15, 25), ("india_prom", None, 25), ("india_manure", None, 25),
                             ("eu_soil_improver", None, 80)):  # fmt: skip
        assert quality.judge_one(grade, "moisture", high) == "meets"
        assert quality.judge_one(grade, "moisture", high + 0.1) == "fails"
        if low:
            assert quality.judge_one(grade, "moisture", low) == "meets"
            assert quality.judge_one(grade, "moisture", low - 0.1) == "fails"


@pytest.mark.parametrize("grade", ["india_city", "india_prom", "india_manure"])
def test_arsenic_of_the_indian_tables_counts_as_its_oxide(grade: str) -> None:
    edge = 10 / 1.3203  # As2O3 = 197.841, two As = 149.843
    assert quality.judge_one(grade, "arsenic", edge * 0.999) == "meets"
    assert quality.judge_one(grade, "arsenic", edge * 1.001) == "fails"


@pytest.mark.parametrize(("grade", "parameter"), [
    ("eu_soil_improver", "salmonella_25g"), ("eu_by_products", "salmonella_25g"), ("uk_pas100", "salmonella_25g"),
    ("germany_20", "salmonella_50g"), ("germany_30", "salmonella_50g"), ("australia", "salmonella_50g"),
    ("india_city", "salmonella_25g"), ("india_manure", "salmonella_25g"), ("india_prom", "salmonella_25g"),
    ("uk_pas100", "weed_seeds"), ("canada_a", "sharp_pieces"), ("eu_organic", "chromium_vi"),
])  # fmt: skip
def test_none_may_be_found(grade: str, parameter: str) -> None:
    assert quality.judge_one(grade, parameter, 0) == "meets"
    assert quality.judge_one(grade, parameter, 1) == "fails"
    assert quality.judge_one(grade, parameter, 0.1, below=True) == "meets"


def test_every_limit_is_among_the_tests_above() -> None:
    """No row of the reference data goes without a case typed from its publication."""
    tried = {(grade, metal) for grade, metal, _ in CASES} | {(case[0], case[1]) for case in OTHERS}
    tried |= {(grade, each) for grade in ("india_city", "india_prom", "india_vermi", "india_manure")
              for each in ("organic_carbon", "nitrogen", "phosphate", "potash", "moisture", "arsenic", "salmonella_25g")}  # fmt: skip
    same = {("germany_30", each) for each in ("impurities_2mm", "stones_10mm", "salmonella_50g", "weed_seeds")}
    left = [(limit["grade"], limit["parameter"]) for limit in quality.LIMITS
            if (limit["grade"], limit["parameter"]) not in tried | same]  # fmt: skip
    assert sorted(set(left)) == sorted({
        ("us_503_table3", "faecal_coliforms"), ("california", "salmonella_4g"), ("minnesota", "faecal_coliforms"),
        ("minnesota", "salmonella_4g"), ("canada_a", "faecal_coliforms"), ("canada_a", "salmonella_4g"), ("canada_b", "salmonella_4g"),
        ("india_prom", "through_4mm"), ("india_vermi", "through_4mm"), ("india_manure", "through_4mm"), ("india_prom", "carbon_to_nitrogen"),
        ("india_manure", "carbon_to_nitrogen"), ("india_manure", "bulk_density"), ("india_manure", "npk_sum"),
        ("eu_soil_improver", "moisture"), ("eu_soil_improver", "organic_carbon"), ("eu_soil_improver", "glass_2mm"),
        ("eu_soil_improver", "metal_2mm"), ("eu_soil_improver", "salmonella_25g"), ("eu_organic", "chromium_vi"),
        ("eu_by_products", "salmonella_25g"), ("germany_20", "salmonella_50g"), ("switzerland", "pah16"),
        ("uk_pas100", "salmonella_25g"), ("uk_pas100", "e_coli"), ("uk_pas100", "plastic_2mm"), ("uk_pas100", "weed_seeds"),
        ("canada_a", "sharp_pieces"), ("ontario_aa", "ph"), ("australia", "salmonella_50g"), ("australia", "faecal_coliforms"),
        ("australia", "impurities_2mm"), ("australia", "stones_5mm"),
    })  # fmt: skip


@pytest.mark.parametrize(("grade", "parameter", "edge", "on_edge", "beyond"), [
    ("us_503_table3", "faecal_coliforms", 1000, "fails", 1001), ("california", "salmonella_4g", 3, "fails", 4),
    ("minnesota", "faecal_coliforms", 1000, "fails", 1001), ("minnesota", "salmonella_4g", 3, "fails", 4),
    ("canada_a", "faecal_coliforms", 1000, "fails", 1001), ("canada_a", "salmonella_4g", 3, "fails", 4),
    ("canada_b", "salmonella_4g", 3, "fails", 4), ("india_prom", "through_4mm", 90, "meets", 89),
    ("india_vermi", "through_4mm", 90, "meets", 89), ("india_manure", "through_4mm", 90, "meets", 89),
    ("india_prom", "carbon_to_nitrogen", 20, "fails", 21), ("india_manure", "carbon_to_nitrogen", 20, "fails", 21),
    ("india_manure", "bulk_density", 1.0, "fails", 1.1), ("eu_soil_improver", "glass_2mm", 0.3, "meets", 0.31),
    ("eu_soil_improver", "metal_2mm", 0.3, "meets", 0.31), ("switzerland", "pah16", 4, "meets", 4.1),
    ("uk_pas100", "e_coli", 1000, "meets", 1001), ("uk_pas100", "plastic_2mm", 0.12, "meets", 0.13),
    ("ontario_aa", "ph", 8.5, "meets", 8.6), ("ontario_aa", "ph", 5.5, "meets", 5.4),
    ("australia", "faecal_coliforms", 1000, "fails", 1001), ("australia", "impurities_2mm", 0.5, "meets", 0.51),
    ("australia", "stones_5mm", 5, "meets", 5.1),
])  # fmt: skip
def test_the_rest_at_and_beyond(grade: str, parameter: str, edge: float, on_edge: str, beyond: float) -> None:
    assert [quality.judge_one(grade, parameter, value) for value in (edge, beyond)] == [on_edge, "fails"]


def test_carbon_of_the_european_improver_is_of_the_product() -> None:
    assert quality.judge_one("eu_soil_improver", "organic_carbon", 12.5, moisture_percent=40) == "meets"
    assert quality.judge_one("eu_soil_improver", "organic_carbon", 12.4, moisture_percent=40) == "fails"


def test_nutrients_are_added_up_for_organic_manure() -> None:
    rows = [row("nitrogen", 1.2, basis="wet"), row("phosphorus", 0.4, basis="wet"), row("potash", 0.9, basis="wet")]
    assert 1.2 + 0.4 * 2.29133 + 0.9 > 3
    found = {each[1]: each[4] for each in solved(rows, 20, "india_manure").in_full}
    assert found["N + P₂O₅ + K₂O together"] == "meets"
    less = [row("nitrogen", 1.1, basis="wet"), *rows[1:]]
    assert {each[1]: each[4] for each in solved(less, 20, "india_manure").in_full}["N + P₂O₅ + K₂O together"] == "fails"
    assert {each[1]: each[4] for each in solved(rows[:2], 20, "india_manure").in_full}["N + P₂O₅ + K₂O together"] == "not tested"


# ---- units and bases ------------------------------------------------------------------------------------------


def test_units_against_an_independent_library() -> None:
    units = pint.UnitRegistry()
    names = {"mg_kg": "mg/kg", "ug_kg": "ug/kg", "g_kg": "g/kg", "percent": "percent", "g_cm3": "g/cm**3", "kg_m3": "kg/m**3",
             "ds_m": "dS/m", "us_cm": "uS/cm"}  # fmt: skip
    for kind in ("share", "density", "conductivity"):
        table = quality.UNITS_OF_KIND[kind]
        first = next(iter(table))
        for unit in table:
            theirs = units.Quantity(7.0, units.parse_units(names[unit])).to(names[first]).magnitude
            assert quality.in_first_unit(kind, 7.0, unit) == pytest.approx(theirs, rel=1e-12)


def test_oxides_by_atomic_masses() -> None:
    """Abridged standard atomic weights of IUPAC (2021): P 30.974, K 39.098, As 74.922, O 15.999."""
    assert quality.phosphate(1) == pytest.approx((2 * 30.974 + 5 * 15.999) / (2 * 30.974), abs=1e-5)
    assert quality.potash(1) == pytest.approx((2 * 39.098 + 15.999) / (2 * 39.098), abs=1e-5)
    assert quality.arsenic_oxide(1) == pytest.approx((2 * 74.922 + 3 * 15.999) / (2 * 74.922), abs=1e-5)


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 1e6), st.floats(0, 95), st.sampled_from(sorted(quality.UNITS_OF_KIND["share"])))
def test_conversions_go_there_and_back(value: float, moisture: float, unit: str) -> None:
    assert quality.as_received(quality.of_dry_mass(value, moisture), moisture) == pytest.approx(value, rel=1e-12)
    assert quality.of_dry_mass(value, moisture) >= value
    held = quality.in_first_unit("share", value, unit)
    assert held / quality.UNITS_OF_KIND["share"][unit] == pytest.approx(value, rel=1e-11)


def test_one_figure_in_every_unit_and_basis_gives_one_outcome() -> None:
    for value, unit, basis in ((150, "mg_kg", "dry"), (150_000, "ug_kg", "dry"), (0.15, "g_kg", "dry"), (0.015, "percent", "dry"),
                               (90, "mg_kg", "wet"), (0.009, "percent", "wet")):  # fmt: skip
        assert quality.judge_one("germany_20", "lead", value, unit, basis, 40) == "meets"
        assert quality.judge_one("germany_20", "lead", value * 1.0001, unit, basis, 40) == "fails"


def test_phosphorus_is_read_as_phosphate_too() -> None:
    outputs = solved([row("phosphorus", 4000, "mg_kg", "wet"), row("potassium", 1.0), row("nitrogen", 0.9, "percent", "wet")], 40)
    assert outputs.phosphate_percent_dry == pytest.approx(0.4 * 2.29133 / 0.6, rel=1e-4)
    assert outputs.potash_percent_dry == pytest.approx(1.2046, rel=1e-4)
    assert outputs.nitrogen_percent_dry == pytest.approx(1.5)
    assert solved([row("nitrogen", 0.9, "percent", "wet")]).nitrogen_percent_dry is None


def test_a_wet_figure_without_moisture_can_only_fail() -> None:
    """Of dry mass it is never less than as received."""
    assert quality.judge_one("germany_20", "lead", 151, basis="wet") == "fails"
    assert quality.judge_one("germany_20", "lead", 10, basis="wet") == "can't tell"


# ---- detection, parts, several rows ---------------------------------------------------------------------------


def test_below_detection() -> None:
    assert quality.judge_one("germany_20", "mercury", 0.5, below=True) == "meets"
    assert quality.judge_one("germany_20", "mercury", 1.0, below=True) == "meets"
    assert quality.judge_one("germany_20", "mercury", 1.1, below=True) == "can't tell"
    assert quality.judge_one("minnesota", "conductivity", 10, below=True) == "can't tell"  # less than 10 is asked
    assert quality.judge_one("india_city", "nitrogen", 0.1, basis="wet", below=True) == "fails"
    assert quality.judge_one("india_city", "nitrogen", 5, basis="wet", below=True) == "can't tell"


def test_a_part_is_never_more_than_its_whole() -> None:
    full = {each[1]: (each[3], each[4]) for each in solved([row("chromium", 1.5), row("arsenic", 30)], rule="eu_soil_improver").in_full}
    assert full["Chromium VI"] == ("0 to 1.5 mg/kg", "meets") and full["Arsenic, inorganic"][1] == "meets"
    full = {each[1]: each[4] for each in solved([row("chromium", 60), row("salmonella_50g", 0)], rule="eu_soil_improver").in_full}
    assert full["Chromium VI"] == "can't tell" and full["Salmonella in 25 g"] == "meets"
    full = {each[1]: each[4] for each in solved([row("salmonella_25g", 1)], rule="germany_20").in_full}
    assert full["Salmonella in 50 g"] == "fails"
    full = {each[1]: each[4] for each in solved([row("salmonella_25g", 0)], rule="germany_20").in_full}
    assert full["Salmonella in 50 g"] == "can't tell"


def test_the_poorest_of_several_rows_counts() -> None:
    assert {each[1]: each[4] for each in solved([row("lead", 100), row("lead", 160)], rule="germany_20").in_full}["Lead (Pb)"] == "fails"


def test_germs_that_stand_for_each_other() -> None:
    metals = [row(name, 1) for name in ("arsenic", "cadmium", "copper", "lead", "mercury", "nickel", "selenium", "zinc")]

    def us(*germs: tuple[Any, ...]) -> Any:
        return next(each for each in solved([*metals, *germs]).by_grade if each[0] == "US 503, table 3")

    assert us()[1] == "not enough tested"
    assert us(row("salmonella_4g", 1))[1] == "meets all that is held here" and us(row("salmonella_4g", 1))[3] == "–"
    assert us(row("salmonella_4g", 1), row("faecal_coliforms", 5000))[1] == "meets all that is held here"
    assert us(row("faecal_coliforms", 5000))[1] == "not enough tested"
    assert us(row("salmonella_4g", 5), row("faecal_coliforms", 5000))[1] == "fails"


# ---- verdicts -------------------------------------------------------------------------------------------------


def test_the_limit_that_binds() -> None:
    outputs = solved([row("lead", 140), row("cadmium", 0.5)], rule="germany_20")
    assert outputs.binding_limit.startswith("Lead (Pb) at most 150 mg/kg (Germany, 20 t): 6.67 % of it left")
    worse = solved([row("lead", 140), row("cadmium", 3)], rule="germany_20")
    assert worse.binding_limit.startswith("Cadmium (Cd) at most 1.5 mg/kg") and "100 % beyond" in worse.binding_limit
    assert "Mercury" in worse.ask_laboratory and "Cadmium" not in worse.ask_laboratory


def test_superseded_tables_say_so() -> None:
    standing = {each[0]: each[5] for each in solved([]).by_grade}
    assert "superseded 1 April 2026" in standing["India, city compost"] and "superseded" not in standing["Germany, 20 t"]
    asked = quality.Inputs(60.0)
    assert any("superseded from 1 April 2026" in each for each in quality.notices(asked, quality.solve(asked, Working()), show))


def test_nothing_entered_is_no_verdict() -> None:
    outputs = solved([])
    assert outputs.grades_open == len(quality.GRADES) and outputs.binding_limit == "none yet"


@pytest.mark.parametrize(("entry", "words"), [("lead:5:ds_m:dry:no", "can't be in dS/m"), ("lead:200:percent:dry:no", "more than all"),
                                              ("through_4mm:120:percent:dry:no", "more than all")])  # fmt: skip
def test_a_unit_that_does_not_fit_is_explained(entry: str, words: str) -> None:
    with pytest.raises(CannotSolve, match=words):
        parameter, value, unit, basis, _ = entry.split(":")
        solved([row(parameter, float(value), unit, basis)])
    assert words in Plan({"laboratory_report": entry}).evaluate(only="quality").stopped["quality"].message


CONTAMINANTS = [key for key, each in quality.PARAMETERS.items() if each["group"] in ("Metals", "Germs", "Foreign matter")]
RANK = {"meets all that is held here": 0, "not enough tested": 1, "fails": 2}
readings = st.lists(
    st.tuples(st.sampled_from(CONTAMINANTS), st.one_of(st.floats(0, 3000), st.sampled_from([0, 1, 3, 39, 50, 100, 150, 1000])),
              st.just("usual"), st.sampled_from(["dry", "wet"]), st.booleans()), max_size=12,
).map(lambda rows: [each if quality.PARAMETERS[each[0]]["unit"] != "percent" else (each[0], each[1] / 40, *each[2:]) for each in rows])  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(readings, st.integers(0, 11), st.floats(1, 30), st.one_of(st.none(), st.floats(0, 90)))
def test_more_contamination_never_improves_a_verdict(rows, which, times, moisture) -> None:  # type: ignore[no-untyped-def]
    if not rows:
        return
    which %= len(rows)
    parameter, value, unit, basis, _ = rows[which]
    more = min(value * times + (times - 1), 100.0 if quality.PARAMETERS[parameter]["unit"] == "percent" else math.inf)
    worse = [*rows]
    worse[which] = (parameter, more, unit, basis, False)  # found, and more of it
    before, after = solved(rows, moisture), solved(worse, moisture)
    for old, new in zip(before.by_grade, after.by_grade, strict=True):
        assert RANK[str(new[1])] >= RANK[str(old[1])], (old, new)


def test_a_report_by_link_reaches_the_page() -> None:
    """As written by hand: parameter, figure, unit, basis, below detection."""
    answers = {"laboratory_report": "lead:90:mg_kg:wet:no;mercury:0.2:usual:dry:yes", "compost_moisture": "40"}
    result = Plan(answers).evaluate().results["quality"]
    assert isinstance(result, Result) and result.outputs.readings_entered == 3
    assert any(step.label == "Lead (Pb), of dry mass" and step.value == pytest.approx(150) for step in result.steps)
    assert [answer for answer in declared(quality.Inputs)] == ["compost_moisture_percent", "laboratory_report", "sold_under"]
