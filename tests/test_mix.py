"""Mix: amounts that were worked out by hand, what is said in words, and what is refused."""

from __future__ import annotations

import dataclasses
import re

import pytest

from calculators import reference
from calculators.declare import CannotSolve
from calculators.plan import Plan
from calculators.topics import mix
from calculators.units import show
from calculators.working import Working, in_words


def inputs(**answers) -> mix.Inputs:  # type: ignore[no-untyped-def]
    return dataclasses.replace(mix.Inputs(), **answers)


def solved(**answers):  # type: ignore[no-untyped-def]
    return mix.solve(inputs(**answers), Working())


def plain(words: str) -> str:
    """The same with common spaces between figures and units."""
    return words.replace("\N{NO-BREAK SPACE}", " ")


def say(value: float, unit: str, digits: int = 3) -> str:
    return plain(show(value, unit, "metric", digits))


def remarks(**answers) -> str:  # type: ignore[no-untyped-def]
    return " ".join(mix.notices(inputs(**answers), solved(**answers), say))


def refused(**answers) -> str:  # type: ignore[no-untyped-def]
    with pytest.raises(CannotSolve) as caught:
        solved(**answers)
    assert caught.value.message.endswith(".")
    assert set(caught.value.names) <= set(mix.CALCULATOR.answers)
    return plain(caught.value.message)


# Round figures, so that each result below can be followed on paper.
WET = ("Wet", 75.0, 2.0, 20.0, 500.0, 80.0)
"""In 100 kg: 25 kg dry, with 10 kg of carbon and 0.5 kg of nitrogen."""
DRY = ("Dry", 20.0, 0.5, 80.0, 100.0, 90.0)
"""In 100 kg: 80 kg dry, with 32 kg of carbon and 0.4 kg of nitrogen."""
OWN = {
    "own_materials": (WET, DRY), "kitchen_material": "Wet", "bulking_material": "Dry", "leaves_material": "Dry",
    "kitchen_kg_per_day": 400.0,
}  # fmt: skip


# ---- forward ---------------------------------------------------------------------------------------------------


def test_amounts_as_given_by_hand() -> None:
    """400 kg wet and 100 kg dry: 180 kg of dry mass, 72 kg of carbon, 2.4 kg of nitrogen, 320 kg of water."""
    outputs = solved(**OWN, mix_method="given", bulking_kg_per_day_given=100.0, water_l_per_day_given=20.0,
                     settle_percent=10.0, tub_l=50.0, tub_fill_percent=80.0, empty_tub_kg=2.0, bulking_price=0.25)  # fmt: skip
    assert outputs.mix_kg_per_day == pytest.approx(520)
    assert outputs.mix_dry_kg_per_day == pytest.approx(180)
    assert outputs.mix_carbon_to_nitrogen == pytest.approx(72 / 2.4)
    assert outputs.mix_moisture_percent == pytest.approx(100 * 340 / 520)
    # 0.8 m³ and 1 m³, a tenth lost
    assert outputs.mix_m3_per_day == pytest.approx(1.62)
    assert outputs.mix_density_kg_m3 == pytest.approx(520 / 1.62)
    # 100 kg dry at 80 % and 80 kg at 90 % organic: 152 kg; litres of water 340, organic 152 / 1.6, ash 28 / 2.5
    assert outputs.mix_free_air_space_percent == pytest.approx(100 * (1 - (0.340 + 0.095 + 0.0112) / 1.62))
    # a tub holds 40 litres: 800 and 1000 litres
    assert (outputs.food_tubs_per_day, outputs.bulking_tubs_per_day) == pytest.approx((20, 25))
    assert outputs.tub_ratio == "4 tubs of wet to 5 of dry" and outputs.tub_ratio_error_percent == pytest.approx(0, abs=1e-9)
    assert outputs.filled_tub_kg == pytest.approx(22)  # 40 litres at 500 kg/m³ and the tub
    assert outputs.mix_cost_per_day == pytest.approx(25)
    assert outputs.amounts[0] == ("Wet", 400.0, pytest.approx(20), 0.8, pytest.approx(100 * 400 / 520), 100.0)
    assert outputs.amounts[-1] == ("water", 20.0, None, None, pytest.approx(100 * 20 / 520), 0.0)
    # four tubs of the twenty are a fifth of the day
    assert outputs.batch == (
        ("Wet", pytest.approx(4), pytest.approx(160), pytest.approx(80)),
        ("Dry", pytest.approx(5), pytest.approx(200), pytest.approx(20)),
        ("water", None, pytest.approx(4), pytest.approx(4)),
    )
    assert (outputs.load_carbon_to_nitrogen, outputs.load_moisture_percent) == pytest.approx((20, 75))


# ---- one bulking -----------------------------------------------------------------------------------------------


def test_bulking_for_each_aim_by_hand() -> None:
    """C:N 30 wants (30 × 2 − 40) ÷ (32 − 30 × 0.4) × 100 = 100 kg; 60 % moisture wants 400 × 15 ÷ 40 = 150 kg."""
    aims = {"target_carbon_to_nitrogen": 30.0, "target_moisture_percent": 60.0}
    both = solved(**OWN, **aims)
    assert both.bulking_for_carbon_kg_per_day == pytest.approx(100)
    assert both.bulking_for_moisture_kg_per_day == pytest.approx(150)
    assert both.bulking_kg_per_day == pytest.approx(150) and both.water_l_per_day == pytest.approx(0, abs=1e-9)
    assert solved(**OWN, **aims, solve_for="moisture").bulking_kg_per_day == pytest.approx(150)
    carbon = solved(**OWN, **aims, solve_for="carbon_to_nitrogen")
    assert carbon.bulking_kg_per_day == pytest.approx(100) and carbon.water_l_per_day == 0
    assert carbon.mix_carbon_to_nitrogen == pytest.approx(30) and carbon.mix_moisture_percent == pytest.approx(64)
    assert "Moisture decides" in remarks(**OWN, **aims)
    assert "moisture would need 150 kg/d of bulking" in remarks(**OWN, **aims, solve_for="carbon_to_nitrogen")


@pytest.mark.parametrize("aim", ["both", "carbon_to_nitrogen"])
def test_water_where_the_mix_is_too_dry(aim: str) -> None:
    """At 68 % moisture C:N governs: 500 kg with 320 kg of water want (0.68 × 500 − 320) ÷ 0.32 = 62.5 kg of water."""
    outputs = solved(**OWN, target_carbon_to_nitrogen=30.0, target_moisture_percent=68.0, solve_for=aim)
    assert outputs.bulking_kg_per_day == pytest.approx(100)
    assert outputs.water_l_per_day == pytest.approx(62.5)
    assert outputs.mix_moisture_percent == pytest.approx(68)


def test_no_bulking_where_the_load_is_right() -> None:
    outputs = solved(**OWN, target_carbon_to_nitrogen=18.0, target_moisture_percent=78.0)
    assert outputs.bulking_kg_per_day == 0 and outputs.tub_ratio == "wet, with no bulking"
    assert [row[0] for row in outputs.amounts] == ["Wet", "water"]


def test_moisture_alone_says_what_carbon_would_need() -> None:
    said = remarks(**OWN, target_carbon_to_nitrogen=40.0, target_moisture_percent=60.0, solve_for="moisture")
    assert "C:N is lower than wanted" in said and "C:N would need 250 kg/d of bulking" in said


def test_bulking_that_cannot_reach_a_target() -> None:
    assert "rich enough in carbon" in refused(**OWN, target_carbon_to_nitrogen=80.0)
    assert "dry enough" in refused(**OWN, target_carbon_to_nitrogen=20.0, target_moisture_percent=20.0)
    assert "20 times" in refused(**OWN, target_carbon_to_nitrogen=79.0)
    poor = {**OWN, "target_carbon_to_nitrogen": 80.0, "solve_for": "moisture"}
    assert solved(**poor).bulking_for_carbon_kg_per_day is None
    assert "too little carbon" in remarks(**poor)
    damp = {**OWN, "target_moisture_percent": 20.0, "solve_for": "carbon_to_nitrogen"}
    assert solved(**damp).bulking_for_moisture_kg_per_day is None
    assert "too wet to mend that" in remarks(**damp)


def test_moisture_that_drives_carbon_too_high() -> None:
    said = remarks(**OWN, target_carbon_to_nitrogen=20.0, target_moisture_percent=45.0)
    assert "Moisture decides" in said and "makes C:N too high" in said


def test_bulking_poorer_in_carbon_than_the_load() -> None:
    """A load of 40 kg carbon and 0.4 kg nitrogen, with husk at C:N 60 against the wet, for C:N 70. At 60 % moisture 150 kg
    bring 36 and 0.6 kg: 76. At 50 % 1000 ÷ 3 kg bring 80 and 4 ÷ 3 kg: 69.2, too low, and it is said."""
    rows = (("Rich", 75.0, 0.4, 100.0, 500.0, 80.0), ("Husk", 20.0, 0.5, 60.0, 100.0, 90.0))
    answers = {"own_materials": rows, "kitchen_material": "Rich", "bulking_material": "Husk", "kitchen_kg_per_day": 400.0,
               "target_carbon_to_nitrogen": 70.0}  # fmt: skip
    assert solved(**answers, target_moisture_percent=60.0).mix_carbon_to_nitrogen == pytest.approx(76)
    assert "lowers C:N" not in remarks(**answers, target_moisture_percent=60.0)
    wetted = solved(**answers, target_moisture_percent=50.0)
    assert wetted.mix_carbon_to_nitrogen == pytest.approx(120 / (0.4 + 4 / 3))
    assert "lowers C:N to 69.2" in remarks(**answers, target_moisture_percent=50.0)


def test_two_ingredients_meet_both_targets() -> None:
    """400 kg wet, x dry and y of a husk of 10 % moisture, 1 % N and C:N 40, for C:N 30 and 60 %: the balances
    20 x + 9 y = 2000 (in 0.01 kg of carbon) and 40 x + 50 y = 6000 (of water) give x = 71.875, y = 62.5."""
    husk = ("Husk", 10.0, 1.0, 40.0, 150.0, 80.0)
    answers = {**OWN, "own_materials": (WET, DRY, husk), "target_carbon_to_nitrogen": 30.0, "target_moisture_percent": 60.0,
               "solve_for": "exactly_both", "additions": (("Husk", None, None, None, 2.0),)}  # fmt: skip
    outputs = solved(**answers)
    assert outputs.bulking_kg_per_day == pytest.approx(71.875)
    assert outputs.amounts[1][:2] == ("Husk", pytest.approx(62.5))
    assert outputs.mix_carbon_to_nitrogen == pytest.approx(30) and outputs.mix_moisture_percent == pytest.approx(60)
    assert outputs.mix_cost_per_day == pytest.approx(125)
    assert "outside the least and most" in refused(**{**answers, "additions": (("Husk", None, None, 50.0, None),)})
    assert "outside the least and most" in refused(**{**answers, "additions": (("Husk", None, 70.0, None, None),)})
    assert "a second ingredient is needed" in refused(**{**answers, "additions": ()})
    assert "same way" in refused(**{**answers, "additions": (("Dry", None, None, None, None),)})
    assert "less than none of dry" in refused(**{**answers, "target_carbon_to_nitrogen": 22.0})


# ---- the cheapest ----------------------------------------------------------------------------------------------


def test_the_cheapest_by_hand() -> None:
    """Only C:N 30 and moisture up to 64 % bind, and 100 kg of the free bulking meets both; half of it must be replaced
    by a dearer ingredient when there is half."""
    limits = {"least_carbon_to_nitrogen": 30.0, "most_moisture_percent": 70.0, "most_density_kg_m3": 1500.0,
              "least_free_air_space_percent": 0.0}  # fmt: skip
    asked = {**OWN, **limits, "mix_method": "cheapest", "leaves_kg_per_day": 100.0}
    outputs = solved(**asked)
    assert outputs.bulking_kg_per_day == pytest.approx(100) and outputs.mix_cost_per_day == 0
    # straw of 10 % moisture, 0.5 % N and C:N 80 has 22.5 in place of 20 of carbon to spare in 100 kg
    straw = ("My straw", 10.0, 0.5, 80.0, 80.0, 90.0)
    fewer = {**asked, "own_materials": (WET, DRY, straw), "leaves_kg_per_day": 50.0,
             "additions": (("My straw", None, None, None, 0.5),)}  # fmt: skip
    outputs = solved(**fewer)
    assert outputs.bulking_kg_per_day == pytest.approx(50)
    assert outputs.amounts[1][:2] == ("My straw", pytest.approx(50 * 20 / 22.5))
    assert outputs.mix_cost_per_day == pytest.approx(0.5 * 50 * 20 / 22.5)


def test_prices_belong_to_their_rows() -> None:
    """The same ingredient twice, each with its own price: the dear row is used only beyond the cheap one's supply."""
    outputs = solved(**OWN, mix_method="cheapest", leaves_kg_per_day=0.0, least_carbon_to_nitrogen=30.0,
                     most_moisture_percent=70.0,
                     additions=(("Dry", None, None, None, 3.0), ("Dry", None, None, 60.0, 1.0)))  # fmt: skip
    assert outputs.mix_cost_per_day == pytest.approx(60 * 1 + 40 * 3)
    given = solved(**OWN, mix_method="given", bulking_kg_per_day_given=0.0,
                   additions=(("Dry", 10.0, None, None, 3.0), ("Dry", 20.0, None, None, 1.0)))  # fmt: skip
    assert given.mix_cost_per_day == pytest.approx(50)


def test_bulk_density_is_a_limit_of_the_cheapest() -> None:
    """Mass over 0.9 × (400 ÷ 500 + x ÷ 100) shall be 400: (400 + x) ÷ (0.72 + 0.009 x) gives x = 112 ÷ 2.6."""
    loose = {"least_carbon_to_nitrogen": 5.0, "most_moisture_percent": 95.0, "least_free_air_space_percent": 0.0,
             "mix_method": "cheapest", "leaves_kg_per_day": 1000.0, "settle_percent": 10.0}  # fmt: skip
    outputs = solved(**OWN, **loose, most_density_kg_m3=400.0)
    assert outputs.bulking_kg_per_day == pytest.approx(112 / 2.6)
    assert outputs.mix_density_kg_m3 == pytest.approx(400)


def test_free_air_space_is_a_limit_of_the_cheapest() -> None:
    loose = {"least_carbon_to_nitrogen": 5.0, "most_moisture_percent": 95.0, "most_density_kg_m3": 1500.0,
             "mix_method": "cheapest", "leaves_kg_per_day": 1000.0}  # fmt: skip
    assert solved(**OWN, **loose, least_free_air_space_percent=0.0).bulking_kg_per_day == 0
    outputs = solved(**OWN, **loose, least_free_air_space_percent=65.0)
    assert outputs.mix_free_air_space_percent == pytest.approx(65) and outputs.bulking_kg_per_day > 0


def test_bulking_that_is_not_the_leaves_has_no_supply() -> None:
    sawdust = {"mix_method": "cheapest", "bulking_material": "sawdust", "kitchen_kg_per_day": 300.0}
    assert solved(**sawdust, leaves_kg_per_day=0.0).bulking_kg_per_day > 0
    assert "dry leaves" in refused(mix_method="cheapest", kitchen_kg_per_day=300.0, leaves_kg_per_day=0.0)
    outputs = solved(bulking_material="sawdust", leaves_kg_per_day=500.0)
    assert outputs.bulking_short_kg_per_day == outputs.bulking_kg_per_day
    assert "not the leaves at hand" in remarks(bulking_material="sawdust", leaves_kg_per_day=500.0)


def test_what_clashes_and_what_would_cure_it() -> None:
    """100 kg against 400 kg wet leave 64 % moisture; 60 % wants 150 kg, or 64 % allowed: see the aims above."""
    asked = {**OWN, "mix_method": "cheapest", "leaves_kg_per_day": 100.0, "most_moisture_percent": 60.0}
    message = refused(**asked)
    assert message == (
        "No mix meets these limits together: moisture at most 60%; at most 100 kg/d of dry. Any one of these would do: "
        "moisture up to 64%; at least 150 kg/d of dry to be had."
    )
    assert solved(**{**asked, "most_moisture_percent": 64.0}).bulking_kg_per_day == pytest.approx(100)
    assert solved(**{**asked, "leaves_kg_per_day": 150.0}).bulking_kg_per_day == pytest.approx(150)


def test_a_least_amount_can_be_what_clashes() -> None:
    message = refused(mix_method="cheapest", leaves_kg_per_day=500.0, additions=(("sawdust", None, 400.0, None, None),))
    assert "at least 400 kg/d of sawdust" in message
    little = float(re.search(r"no more than ([\d.]+) kg/d of sawdust asked for", message)[1])  # type: ignore[index]
    answers = {"mix_method": "cheapest", "leaves_kg_per_day": 500.0}
    assert solved(**answers, additions=(("sawdust", None, little, None, None),))
    refused(**answers, additions=(("sawdust", None, little + 0.2, None, None),))


def test_limits_that_contradict_each_other() -> None:
    answers = {"mix_method": "cheapest", "leaves_kg_per_day": 900.0, "least_carbon_to_nitrogen": 35.0,
               "most_carbon_to_nitrogen": 30.0}  # fmt: skip
    message = refused(**answers)
    assert "C:N at least 35; C:N at most 30" in message and "C:N down to 30; C:N up to 35" in message
    assert "the most (5 kg) is below the least (9 kg)" in refused(
        mix_method="cheapest", additions=(("sawdust", None, 9.0, 5.0, None),)
    )


def test_no_cure_that_the_form_would_refuse() -> None:
    """Cures lie within what the answers may be: a density limit of 1500 kg/m³ can't be passed."""
    heavy = ("Sludge", 90.0, 3.0, 15.0, 1500.0, 60.0)
    message = refused(own_materials=(heavy,), kitchen_material="Sludge", mix_method="cheapest", leaves_kg_per_day=0.0,
                      most_density_kg_m3=1000.0)  # fmt: skip
    assert "bulk density up to" not in message and "No mix meets" in message


# ---- materials -------------------------------------------------------------------------------------------------


def test_own_rows_go_over_the_table() -> None:
    """By key or by name, in any case; empty cells keep the table's figures."""
    row = reference.material("dry_leaves")
    for name in ("dry_leaves", row.name, row.name.upper()):
        made = mix._materials(inputs(own_materials=((name, 30.0, None, None, 70.0, None),)))["dry_leaves"]
        assert (made.moisture, made.density_kg_m3) == (0.3, 70.0)
        assert made.carbon_to_nitrogen == row.carbon_to_nitrogen.typical  # type: ignore[union-attr]
        assert made.nitrogen == row.nitrogen_percent_dry.typical / 100  # type: ignore[union-attr]
        assert made.name == row.name


def test_carbon_and_organic_matter_stand_in_for_each_other() -> None:
    """(100 − ash) ÷ 1.8: 90 % organic matter is 50 % carbon."""
    without_ratio = mix._materials(inputs(own_materials=(("Vine", 20.0, 0.5, None, 150.0, 90.0),)))["Vine"]
    assert without_ratio.carbon_to_nitrogen == pytest.approx(100)
    without_organic = mix._materials(inputs(own_materials=(("Vine", 20.0, 0.5, 100.0, 150.0, None),)))["Vine"]
    assert without_organic.organic == pytest.approx(0.9)
    assert mix.organic_matter_from_carbon(80.0) == 100


def test_rows_that_say_too_little_or_too_much() -> None:
    assert "is new" in refused(own_materials=(("Vine", 20.0, 0.5, None, 150.0, None),))
    assert "is new" in refused(own_materials=(("Vine", None, 0.5, 90.0, 150.0, None),))
    assert "450%" in refused(own_materials=(("Vine", 20.0, 5.0, 90.0, 150.0, None),))
    assert solved(own_materials=(("  ", None, None, None, None, None),)) == solved()


def test_an_own_material_through_the_plan() -> None:
    """A name with blanks around it is found by the choice that names it."""
    evaluated = Plan({"own_materials": [[" Vine ", 20, 0.5, 90, 150, None]], "bulking_material": " Vine "}).evaluate()
    assert not evaluated.problems and "of vine" in evaluated.results["mix"].sentence


def test_nothing_to_mix() -> None:
    assert "nothing to mix" in refused(kitchen_kg_per_day=0.0)
    assert "nothing to mix" in refused(kitchen_kg_per_day=1e-300, mix_method="cheapest")


# ---- tubs ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("first", "second", "ratio"),
    [(7, 4, (7, 4)), (70.2, 40, (7, 4)), (20, 10, (2, 1)), (3, 3, (1, 1)), (1, 12, (1, 12)), (30, 1, (30, 1)), (1, 47, (1, 47)),
     (5, 0, (1, 0)), (0, 5, (0, 1)), (12.4, 1, (12, 1)), (1e9, 1, (10**9, 1))],
)  # fmt: skip
def test_small_ratios(first: float, second: float, ratio: tuple[int, int]) -> None:
    assert mix.small_ratio(first, second) == ratio


def test_no_ratio_up_to_a_dozen_is_nearer() -> None:
    for first, second in ((0.37, 0.81), (5.03, 3.01), (1.0, 0.618), (10.9, 1.0), (1.0, 8.55)):
        above, below = mix.small_ratio(first, second)
        wanted = first / second
        off = max(above / below / wanted, wanted * below / above)
        for a in range(1, 13):
            for b in range(1, 13):
                assert off <= max(a / b / wanted, wanted * b / a) * (1 + 1e-12)


def test_what_rounding_to_tubs_does() -> None:
    outputs = solved()
    first, second = (int(number) for number in re.findall(r"\d+", outputs.tub_ratio))
    wanted = outputs.bulking_tubs_per_day / outputs.food_tubs_per_day
    assert 1 + outputs.tub_ratio_error_percent / 100 == pytest.approx(second / first / wanted)
    assert outputs.batch[0][1] == pytest.approx(first)
    shown = f"{say(abs(outputs.tub_ratio_error_percent), 'percent', 2)} "
    assert (shown + ("more" if outputs.tub_ratio_error_percent > 0 else "less")) in remarks()


# ---- words, cautions, charts -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "value", "verdict"),
    [("carbon_to_nitrogen", 19.9, "too low"), ("carbon_to_nitrogen", 20, "acceptable"),
     ("carbon_to_nitrogen", 25, "preferred"), ("carbon_to_nitrogen", 30, "preferred"),
     ("carbon_to_nitrogen", 40, "acceptable"), ("carbon_to_nitrogen", 40.1, "too high"),
     ("moisture_percent_wet", 39, "too low"), ("moisture_percent_wet", 45, "acceptable"),
     ("moisture_percent_wet", 55, "preferred"), ("moisture_percent_wet", 66, "too high"),
     ("free_air_space_percent", 19, "too low"), ("free_air_space_percent", 25, "acceptable"),
     ("free_air_space_percent", 80, "acceptable"), ("bulk_density_kg_m3", 100, "preferred"),
     ("bulk_density_kg_m3", 600, "acceptable"), ("bulk_density_kg_m3", 700, "too high")],
)  # fmt: skip
def test_verdicts_on_the_ranges(key: str, value: float, verdict: str) -> None:
    assert mix.judge(key, value) == verdict


def test_every_figure_is_judged_and_told_what_to_do() -> None:
    said = remarks(**OWN, mix_method="given", bulking_kg_per_day_given=0.0)
    assert "Moisture 75% is too high: air will not pass" in said
    assert "C:N 20 is within the acceptable range, on the low side" in said
    assert "Bulk density 556 kg/m³ is within the preferred range" in said
    wood = remarks(kitchen_material="sawdust", mix_method="given", bulking_kg_per_day_given=0.0)
    assert "slow to heat" in wood and "add water while mixing" in wood
    sodden = remarks(own_materials=(("Sludge", 98.0, 3.0, 15.0, 1500.0, 60.0),), kitchen_material="Sludge", mix_method="given",
                     bulking_kg_per_day_given=0.0)  # fmt: skip
    assert "less than no air" in sodden and "it will go sour" in sodden


def test_supply_of_leaves() -> None:
    short = remarks(kitchen_kg_per_day=300.0, leaves_kg_per_day=40.0)
    lacking = solved(kitchen_kg_per_day=300.0, leaves_kg_per_day=40.0)
    assert lacking.bulking_short_kg_per_day == pytest.approx(lacking.bulking_kg_per_day - 40)
    assert "fall short" in short and "mean of the year" in short
    enough = remarks(kitchen_kg_per_day=300.0, leaves_kg_per_day=400.0)
    assert "fall short" not in enough and "mean of the year" in enough
    assert "dry and weigh a sample" in enough


def test_open_additions_left_out_are_mentioned() -> None:
    row = (("sawdust", None, None, None, None),)
    assert "without an amount" in remarks(additions=row)
    assert "without an amount" not in remarks(additions=row, mix_method="cheapest", leaves_kg_per_day=900.0)


def test_the_sentence_names_everything_that_goes_in() -> None:
    answers = {**OWN, "additions": (("sawdust", 50.0, None, None, None),), "target_moisture_percent": 72.0}
    words = mix.sentence(inputs(**answers), solved(**answers), say)
    assert "of bulking, 50 kg/d of other ingredients and" in words and "of water for 400 kg/d of waste" in words
    assert "2 tubs" in mix.sentence(inputs(), solved(), say) and words.endswith(".")


def test_cautions() -> None:
    def raised(**answers):  # type: ignore[no-untyped-def]
        return {each.key: each for each in mix.cautions(inputs(**answers), solved(**answers), say)}

    usual = raised()
    assert set(usual) == {"lift_heavy_tub", "raw_waste_hands", "sharps_in_waste", "meat_rules", "cover_fresh_food",
                          "wet_down_dust", "leaf_store_fire"}  # fmt: skip
    assert set(usual) <= set(reference.cautions())
    assert not usual["lift_heavy_tub"].urgent
    # 23 kg is the load constant: (23 − 1.5) kg of food scraps at 455 kg/m³ fill 47.25 litres
    assert not raised(tub_l=47.2, tub_fill_percent=100.0)["lift_heavy_tub"].urgent
    heavy = raised(tub_l=47.3, tub_fill_percent=100.0)["lift_heavy_tub"]
    assert heavy.urgent and "23 kg" in heavy.because
    bare = raised(mix_method="given", bulking_kg_per_day_given=0.0)
    assert "wet_down_dust" not in bare and "leachate_reuse" in bare


def test_charts_show_what_the_tables_show() -> None:
    asked = inputs(**OWN, target_carbon_to_nitrogen=30.0)
    outputs = mix.solve(asked, Working())
    mass, tubs, ratio, moisture = mix.charts(asked, outputs)
    assert sum(mass.lines[0].values) == pytest.approx(outputs.mix_kg_per_day)
    assert sum(tubs.lines[0].values) == pytest.approx(outputs.tubs_per_day)
    assert ratio.lines[0].values == (outputs.load_carbon_to_nitrogen, outputs.mix_carbon_to_nitrogen)
    assert [mark.value for mark in ratio.marks] == [20, 25, 30, 40]
    assert moisture.lines[0].values == (outputs.load_moisture_percent, outputs.mix_moisture_percent)
    assert [mark.value for mark in moisture.marks] == [40, 50, 60, 65]


def test_the_working_ends_in_the_outputs() -> None:
    working = Working()
    outputs = mix.solve(inputs(**OWN, target_carbon_to_nitrogen=30.0, target_moisture_percent=68.0), working)
    steps = {step.label: step for step in working.steps}
    assert steps["C:N of the mix"].value == outputs.mix_carbon_to_nitrogen
    assert steps["Bulking for the C:N wanted"].value == outputs.bulking_for_carbon_kg_per_day
    assert steps["Water to add"].value == outputs.water_l_per_day
    assert steps["Free air space"].value == outputs.mix_free_air_space_percent
    assert plain(in_words(steps["Water to add"])).endswith("= 62.5 L/d")


@pytest.mark.parametrize("homes", range(100, 1200, 50))
def test_bulking_found_for_the_moisture_leaves_no_drop_of_water(homes: int) -> None:
    """The rounding of the last digit once asked for 2e-13 litres a day."""
    water = Plan({"homes": homes}).evaluate().results["mix"].outputs.water_l_per_day
    assert water == 0 or water > 1e-6
