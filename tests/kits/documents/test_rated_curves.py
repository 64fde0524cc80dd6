"""Curves of rated points: one line for each state, points by x, said in words; every kind has its diagram."""

import xml.etree.ElementTree as ET

import pytest

from kits.documents.rated_curves import MOST_LINES, RATED_CURVES, rated_lines, rated_svg, rated_words
from kits.parts.data_models import POINTS

COMPRESSOR = [
    {
        "speed_rpm": speed,
        "pressure_ratio": ratio,
        "volumetric_effectiveness": v,
        "isentropic_effectiveness": i,
    }
    for speed, ratio, v, i in (
        (2000.0, 6.0, 0.55, 0.5),
        (2000.0, 3.0, 0.75, 0.63),
        (800.0, 3.0, 0.7, 0.57),
        (800.0, 6.0, 0.51, 0.53),
    )
]


def evaporator(airflow, total, air=27.0, humidity=0.5, evaporating=3.0):
    return {
        "airflow_m3_h": airflow, "total_w": total, "air_in_c": air, "relative_humidity": humidity,
        "evaporating_c": evaporating, "sensible_w": None,
    }  # fmt: skip


def test_a_compressor_has_two_diagrams_with_a_line_a_speed():
    volumetric, isentropic = rated_lines("compressor", COMPRESSOR)
    assert [(line.label, line.x, line.y) for line in volumetric.lines] == [
        ("800 rpm", (3.0, 6.0), (0.7, 0.51)),
        ("2,000 rpm", (3.0, 6.0), (0.75, 0.55)),
    ]
    assert isentropic.lines[0].y == (0.57, 0.53)


def test_an_evaporators_lines_are_its_states_and_one_point_may_stand_alone():
    (heat,) = rated_lines(
        "evaporator", [evaporator(400, 4200), evaporator(300, 3600), evaporator(300, 4000, air=32)]
    )
    assert [line.label for line in heat.lines] == [
        "air 27.0 °C, humidity 50 %, evaporating 3.0 °C",
        "air 32.0 °C, humidity 50 %, evaporating 3.0 °C",
    ]
    assert heat.lines[0].x == (300.0, 400.0) and heat.lines[1].x == (300.0,)
    ET.fromstring(rated_svg(heat, width_px=360))
    assert "evaporating 3.0 °C: 4000 at 300." in rated_words(heat)
    assert "from 3600 at 300 to 4200 at 400" in rated_words(heat)


@pytest.mark.parametrize(
    ("kind", "point"),
    [
        ("condenser", {"airflow_m3_h": 1500.0, "air_in_c": 35.0, "condensing_c": 55.0, "heat_w": 7000.0}),
        (
            "heater matrix",
            {
                "airflow_m3_h": 200.0,
                "coolant_flow_l_min": 8.0,
                "water_in_c": 80.0,
                "air_in_c": 0.0,
                "heat_w": 5000.0,
            },
        ),
        ("blower", {"airflow_m3_h": 300.0, "static_pa": 250.0}),
        ("generator", {"generator_rpm": 3000.0, "current_a": 30.0}),
    ],
)
def test_each_other_kind_has_its_diagram(kind, point):
    (lines,) = rated_lines(kind, [point, {**point, lines_x(kind): 4000.0}])
    assert len(lines.lines) == 1 and len(lines.lines[0].x) == 2
    assert lines.lines[0].label
    ET.fromstring(rated_svg(lines, dark=True, width_px=760))


def lines_x(kind):
    return RATED_CURVES[kind][0].x


def test_every_kind_with_rated_points_is_drawn():
    assert set(RATED_CURVES) == set(POINTS)


def test_points_without_a_value_are_left_out_and_without_any_there_is_no_diagram():
    assert rated_lines("blower", [{"airflow_m3_h": None, "static_pa": 3.0}]) == ()
    assert rated_lines("blower", []) == () and rated_lines("trim", [{"x": 1.0}]) == ()


def test_of_many_states_some_are_drawn_and_the_rest_is_counted():
    (heat,) = rated_lines(
        "evaporator", [evaporator(300, 3000 + n, air=20.0 + n) for n in range(MOST_LINES + 3)]
    )
    assert (len(heat.lines), heat.left_out) == (MOST_LINES, 3)
    assert rated_words(heat).endswith("3 more states are in the table only.")
