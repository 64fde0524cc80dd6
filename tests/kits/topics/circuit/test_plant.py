"""The refrigerating plant of the demonstration's fitments: fits, valve, guards, freeze control."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from kits.bom.resolved import explode
from kits.sizing.machine.condenser import heat_rejected_w
from kits.sizing.machine.evaporator import RatedCoilPoint, rated_heat_w
from kits.sizing.machine.plant_figures import rms
from kits.sizing.words.explain import explanation_of, named
from kits.topics.circuit.plant import plant
from kits.topics.circuit.plant_freeze import coil_mass
from kits.topics.context import Context
from kits.topics.figure import Topic
from kits.topics.pieces import governing, solved
from tests.kits.exchange.demonstration.world import Key, World
from tests.kits.topics.contexts import context_of, contexts
from vehicles.physics.air import density_kg_m3

COUPE: Key = ("S4-DASH", "S4", "CP12L")
VAN: Key = ("V30-BELT", "V30", "S18L")
ELECTRIC: Key = ("V30-EV", "V30", "SEVL")


@pytest.fixture(scope="module")
def every(world: World) -> list[Context]:
    return contexts(world)


def topic_of(context: Context) -> Topic:
    topic = plant(context)
    assert topic is not None
    return topic


def codes(context: Context) -> dict[str, tuple[str, str]]:
    return {r.code: (r.severity, r.where) for r in topic_of(context).remarks}


def text(topic: Topic, beginning: str) -> str:
    return next(f.text for f in topic.figures if f.label.startswith(beginning))


def table(topic: Topic, beginning: str) -> tuple[tuple[str, ...], ...]:
    return next(t.rows for t in topic.tables if t.caption.startswith(beginning))


def with_settings(context: Context, **settings: Any) -> Context:
    return replace(context, kit=replace(context.kit, settings={**context.kit.settings, **settings}))


def with_valve(context: Context, **data: Any) -> Context:
    old = context.kit.plant["expansion valve"]
    other = replace(old, data={**old.data, **data})
    plant = {**context.kit.plant, "expansion valve": other}
    return replace(context, kit=replace(context.kit, plant=plant))


def with_plant(context: Context, **changes: Any) -> Context:
    return replace(context, case=replace(context.case, unit=replace(context.case.plant, **changes)))


def with_duty(context: Context, code: str, **changes: Any) -> Context:
    duties = tuple(replace(d, **changes) if d.code == code else d for d in context.record.duties)
    return replace(context, record=replace(context.record, duties=duties))


def test_every_fitment_with_a_solved_duty_point_has_its_topic_with_reasons(every: list[Context]) -> None:
    told = 0
    for context in every:
        topic = plant(context)
        assert (topic is None) == (not solved(context.record))
        if topic is None:
            continue
        told += 1
        for figure in topic.figures:
            function = named(figure.function)
            assert function is not None, figure.function
            why = explanation_of(function)
            assert all((why.formula, why.parameters, why.returns, why.validity, why.source, why.check)), (
                figure
            )
    assert told >= 20


def test_the_table_is_the_record_point_by_point(world: World) -> None:
    context = context_of(world, VAN)
    rows = table(topic_of(context), "Plant at the duty points")
    answers = solved(context.record)
    assert [row[0] for row in rows] == [a.name for a in answers]
    for row, a in zip(rows, answers, strict=True):
        assert float(row[2].replace(",", "")) == pytest.approx(a.capacity_w, abs=0.5)
        assert float(row[9]) == pytest.approx(a.torque_nm, abs=0.05)
        assert float(row[10]) == pytest.approx((a.capacity_w or 0) / (a.power_w or 1), abs=0.05)


def test_torque_and_cooling_for_power_are_those_of_the_balance(every: list[Context]) -> None:
    for context in every:
        main = governing(context.record)
        if main is None:
            continue
        topic = topic_of(context)
        assert float(text(topic, "Torque").split()[0]) == pytest.approx(main.torque_nm, abs=0.051)
        assert float(text(topic, "Cooling for power")) == pytest.approx(main.cop, abs=0.0051)


def test_the_errors_of_the_fits_are_those_against_the_rated_points(world: World) -> None:
    # each model asked again at its own rated points
    context = context_of(world, COUPE)
    topic, p = topic_of(context), context.case.plant
    rated = context.kit.plant["compressor"].points
    ratio, speed = (np.array([r[k] for r in rated]) for k in ("pressure_ratio", "speed_rpm"))
    got = p.compressor.volumetric(ratio, speed) - np.array([r["volumetric_effectiveness"] for r in rated])
    assert text(topic, "Error of the fit: volumetric") == f"{rms(got):.3f}"
    coil = [
        RatedCoilPoint(
            r["airflow_m3_h"],
            r["air_in_c"],
            r["relative_humidity"],
            r["evaporating_c"],
            r["total_w"],
            r["sensible_w"],
        )
        for r in context.kit.plant["evaporator"].points
    ]
    e = p.evaporator
    heat = rated_heat_w(e.ua_air_w_k, e.ref_air_kg_s, e.ua_ref_w_k, coil)
    errors = [
        *(heat.total_w / [c.total_w for c in coil] - 1),
        *(heat.sensible_w / [c.sensible_w for c in coil] - 1),
    ]
    assert text(topic, "Error of the fit: heat of the cooling coil") == f"{100 * rms(errors):.1f} %"
    rows, c = context.kit.plant["condenser"].points, p.condenser
    t_in, t_c, flow, rated_w = (
        np.array([r[k] for r in rows]) for k in ("air_in_c", "condensing_c", "airflow_m3_h", "heat_w")
    )
    air = flow / 3600 * density_kg_m3(t_in, 0.0)
    rejected = heat_rejected_w(c.ua_w_k, c.ref_air_kg_s, c.exponent, air, t_in, t_c)
    assert (
        text(topic, "Error of the fit: heat of the condenser") == f"{100 * rms(rejected / rated_w - 1):.1f} %"
    )


def test_rated_points_that_contradict_each_other_are_told(world: World) -> None:
    context = context_of(world, COUPE)
    assert "fit-poor" not in codes(context)
    poor = replace(context.case.plant.condenser, rms_error_share=0.2)
    number = context.kit.plant["condenser"].part
    assert codes(with_plant(context, condenser=poor))["fit-poor"] == ("warns", f"part:{number}")


def test_a_big_valve_hunts_and_a_small_one_starves_the_coil(world: World) -> None:
    context = context_of(world, VAN)
    number = context.kit.plant["expansion valve"].part
    healthy = codes(with_valve(context, nominal_capacity_w=5500.0))
    assert not {"valve-hunting", "valve-starving", "valve-mop"} & set(healthy)
    assert codes(with_valve(context, nominal_capacity_w=20000.0))["valve-hunting"] == (
        "warns",
        f"part:{number}",
    )
    assert codes(with_valve(context, nominal_capacity_w=2000.0))["valve-starving"] == (
        "warns",
        f"part:{number}",
    )


def test_the_used_share_by_hand(world: World) -> None:
    # capacity of the table over what the table says the valve passes
    context = context_of(world, VAN)
    for row, a in zip(table(topic_of(context), "Expansion valve"), solved(context.record), strict=True):
        share = (a.capacity_w or 0) / float(row[2].replace(",", ""))
        assert float(row[3].split()[0]) == pytest.approx(100 * share, abs=0.6)
        # drop across: head less evaporating pressure
        assert float(row[1]) == pytest.approx((a.high_side_bar_g or 0) - float(row[5]), abs=0.11)


def test_a_pressure_limit_below_the_evaporating_pressure_throttles(world: World) -> None:
    context = context_of(world, VAN)
    number = context.kit.plant["expansion valve"].part
    low = with_valve(context, max_operating_pressure_bar_g=1.5)
    assert codes(low)["valve-mop"] == ("warns", f"part:{number}")
    # R-134a at 40 bar g is above its critical 40.6 bar
    beyond = with_valve(context, max_operating_pressure_bar_g=40.0)
    assert codes(beyond)["valve-mop-beyond"] == ("warns", f"part:{number}")
    none = topic_of(with_valve(context, max_operating_pressure_bar_g=None))
    assert not any("limit throttles" in f.label for f in none.figures)


def test_a_kit_without_a_valve_or_its_capacity_says_so(world: World) -> None:
    context = context_of(world, VAN)
    without = {k: v for k, v in context.kit.plant.items() if k != "expansion valve"}
    bare = replace(context, kit=replace(context.kit, plant=without))
    assert codes(bare)["valve-missing"] == ("notes", "kit")
    assert "expansion valve" not in topic_of(bare).answer
    number = context.kit.plant["expansion valve"].part
    unrated = with_valve(context, nominal_capacity_w=None)
    assert codes(unrated)["valve-capacity"] == ("warns", f"part:{number}")
    mend = next(r.mend for r in topic_of(unrated).remarks if r.code == "valve-capacity")
    assert mend is not None and (mend.sheet, mend.field) == ("Valves", "nominal_capacity_w")


def test_a_head_near_the_cut_out_and_a_late_fan_are_told(world: World) -> None:
    context = context_of(world, VAN)
    highest = max(a.high_side_bar_g or 0 for a in solved(context.record))
    idle = next(a for a in solved(context.record) if a.kind == "idle")
    assert "head-near-cut-out" not in codes(with_settings(context, high_cut_out_bar_g=highest + 2.1))
    near = with_settings(context, high_cut_out_bar_g=highest + 1.9, high_reset_bar_g=10.0)
    assert codes(near)["head-near-cut-out"] == ("warns", "fitment")
    late = with_settings(context, fan_on_bar_g=(idle.high_side_bar_g or 0) + 0.1)
    assert codes(late)["fan-late"] == ("notes", "kit")
    early = with_settings(context, fan_on_bar_g=(idle.high_side_bar_g or 0) - 0.1)
    assert "fan-late" not in codes(early)


def test_a_chain_out_of_order_is_the_kits_own_finding_and_not_told_again(world: World) -> None:
    context = with_settings(context_of(world, VAN), fan_on_bar_g=30.0)
    captions = [t.caption for t in topic_of(context).tables]
    assert "Guards at the duty points" not in captions


def test_a_low_switch_that_stays_open_in_the_cold_is_told(world: World) -> None:
    context = context_of(world, VAN)
    # R-134a at 5 °C has 2.48 bar g (CoolProp)
    assert "low-switch-cold" not in codes(with_settings(context, low_cut_out_bar_g=2.45))
    assert codes(with_settings(context, low_cut_out_bar_g=2.55))["low-switch-cold"] == ("warns", "kit")
    assert text(topic_of(context), "Outside temperature below which") == "0.8 °C"  # CoolProp: 0.79
    # 0.3 kPa absolute lie below the triple point of R-134a (0.39 kPa, CoolProp)
    assert codes(with_settings(context, low_cut_out_bar_g=-1.01))["low-switch-beyond"] == ("warns", "kit")
    unknown = topic_of(with_settings(context, low_cut_out_bar_g=None))
    assert not any("does not start" in f.label for f in unknown.figures)


def test_hot_gas_warns_above_its_limit_and_is_noted_near_it(world: World) -> None:
    context = context_of(world, COUPE)
    hottest = max(a.discharge_c or 0 for a in solved(context.record))
    assert "discharge-hot" not in codes(with_plant(context, discharge_limit_c=hottest + 10.1))
    assert codes(with_plant(context, discharge_limit_c=hottest + 9.9))["discharge-hot"][0] == "notes"
    assert codes(with_plant(context, discharge_limit_c=hottest - 0.1))["discharge-hot"][0] == "warns"


def test_a_compressor_above_its_speed_is_told(world: World) -> None:
    context = context_of(world, VAN)
    assert "over-speed" not in codes(context)
    fast = with_duty(context, "cruise-35", status="over speed", compressor_rpm=7000.0)
    number = context.kit.plant["compressor"].part
    assert codes(fast)["over-speed"] == ("warns", f"part:{number}")


def test_a_compressor_beyond_its_rated_points_is_told_with_both(world: World) -> None:
    context = context_of(world, VAN)
    for a in solved(context.record):
        within = with_duty(context, a.code, low_side_bar_g=2.0, discharge_bar_g=12.0, compressor_rpm=2000.0)
        context = within
    assert "fit-beyond" not in codes(context)
    # by hand: 22.0 over 3.0 bar absolute
    steep = with_duty(context, "cruise-35", low_side_bar_g=2.0 - 0.013, discharge_bar_g=21.0 - 0.013)
    slow = with_duty(context, "cruise-35", compressor_rpm=300.0)
    number = context.kit.plant["compressor"].part
    both = with_duty(steep, "cruise-35", compressor_rpm=300.0)
    for beyond, words in (
        (steep, "ratio of 7.3"),
        (slow, "at 300 rpm"),
        (both, "ratio of 7.3 and 300 rpm"),
    ):
        (told,) = [r for r in plant(beyond).remarks if r.code == "fit-beyond"]
        assert (told.severity, told.where) == ("notes", f"part:{number}")
        assert words in told.sentence


def test_the_range_of_the_compressors_rated_points_stands_beside_their_fit(world: World) -> None:
    context = context_of(world, VAN)
    rated = context.kit.plant["compressor"].points
    ratios, speeds = ([p[name] for p in rated] for name in ("pressure_ratio", "speed_rpm"))
    fits = [f for f in topic_of(context).figures if f.label.startswith("Error of the fit")]
    told = [{i.label: i.text for i in f.inputs} for f in fits if f.label.endswith("of the compressor")]
    assert len(told) == 2
    for inputs in told:
        assert inputs["Pressure ratios of the rated points"] == f"{min(ratios):.1f} to {max(ratios):.1f}"
        assert inputs["Speeds of the rated points"] == f"{min(speeds):,.0f} to {max(speeds):,.0f} rpm"
    others = [f for f in fits if not f.label.endswith("of the compressor")]
    assert not any("Speeds" in i.label for f in others for i in f.inputs)


def test_a_cycling_plant_tells_its_seconds(world: World) -> None:
    context = context_of(world, VAN)
    main = governing(context.record)
    assert main is not None and main.duty_share is not None and main.duty_share < 1
    topic = topic_of(context)
    on, off = (float(text(topic, f"Compressor {word}").split()[0]) for word in ("on", "off"))
    assert on / (on + off) == pytest.approx(main.duty_share, abs=0.04)
    assert f"about {on:.0f} s on and {off:.0f} s off" in topic.answer
    number = context.kit.plant["evaporator"].part
    mass_g = next(r.item.mass_g for r in explode(context.kit) if r.item.part == number)
    assert coil_mass(context)[0] == pytest.approx((mass_g or 0) / 1000)


def test_a_coil_without_a_mass_takes_the_default(world: World) -> None:
    context = context_of(world, VAN)
    bare = replace(context, kit=replace(context.kit, items=()))
    mass_kg, told = coil_mass(bare)
    assert mass_kg == 1.5 and told.origin.startswith("assumed")


def test_a_plant_at_full_flow_runs_all_the_time(world: World) -> None:
    context = context_of(world, VAN)
    always = with_duty(context, context.record.worst_duty_point, duty_share=1.0)
    assert "The compressor runs all the time." in topic_of(always).answer


def test_a_suction_valve_is_told_by_its_pressure(world: World) -> None:
    context = with_plant(context_of(world, VAN), freeze_mode="suction-regulated")
    main = governing(context.record)
    assert main is not None
    told = topic_of(context)
    assert f"throttles to {main.low_side_bar_g:.1f} bar g" in told.answer
    assert table(told, "Freeze control by a valve")
    opened = with_duty(context, main.code, status="full")
    assert "stands open" in topic_of(opened).answer


def test_an_electric_compressor_is_told_by_its_speed_and_current(world: World) -> None:
    context = context_of(world, ELECTRIC)
    main = governing(context.record)
    assert main is not None
    topic = topic_of(context)
    assert f"turn at {main.compressor_rpm:,.0f} rpm of 800 to 8,000" in topic.answer
    volts = context.case.car.high_voltage_v or 0
    rows = table(topic, "Plant at the duty points")
    for row, a in zip(rows, solved(context.record), strict=True):
        # at least the shaft's power, at most a quarter more for motor and inverter
        assert 1.0 <= float(row[-1]) * volts / (a.power_w or 1) <= 1.3
    assert any("ester" in caution for caution in topic.cautions)
    assert "ester" not in " ".join(topic_of(context_of(world, VAN)).cautions)
    slow = with_duty(context, main.code, duty_share=0.5, compressor_rpm=800.0)
    assert "cycles, about" in topic_of(slow).answer
