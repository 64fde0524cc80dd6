"""A cabin's numbers lie where such numbers can lie, its parts have their codes once. The database holds it."""

import pytest
from django.core.exceptions import ValidationError
from django.db.models import ProtectedError

from tests.vehicles.rows import Held, above, hold, make_line, make_variant, rules_of, share, word
from vehicles.models import (
    Cabin,
    CabinLeakage,
    Feature,
    Opening,
    Option,
    Seat,
    Surface,
    SurfaceLayer,
    SurfaceTerm,
)

CABIN = {"code": "c9", "name": "Cabin"}
SURFACE = {"code": "s9", "name": "Roof", "kind": "opaque"}
LAYER = {"layer_order": 9, "material": "felt", "thickness_mm": 8.0, "conductivity_w_mk": 0.04}
OPENING = {"code": "o9", "name": "Open back", "area_m2": 0.4, "height_m": 0.6}

RULES = [
    (Cabin, above("cabin_volume_positive", "volume_m3")),
    (Cabin, share("cabin_flap_leak_share", "flap_leak_share")),
    (Cabin, above("cabin_fresh_air_not_negative", "fresh_air_m3_h", zero=True)),
    (Cabin, above("cabin_duct_gain_not_negative", "duct_gain_w_k", zero=True)),
    (Cabin, above("cabin_matrix_leak_not_negative", "matrix_leak_w", zero=True)),
    (Cabin, Held("cabin_code_once", ({"code": "c2"},), ({"code": "c1"}, {"code": "C1"}))),
    (CabinLeakage, above("leakage_speed_not_negative", "road_speed_km_h", zero=True)),
    (CabinLeakage, above("leakage_flow_not_negative", "leakage_m3_h", zero=True)),
    (CabinLeakage, Held("leakage_once_a_speed", ({"road_speed_km_h": 50.5},), ({"road_speed_km_h": 50.0},))),
    (Seat, word("seat_activity_known", "activity", "driver", "passenger")),
    (Seat, Held("seat_code_once", ({"code": "fr"},), ({"code": "FL"},))),
    (Surface, word("surface_kind_known", "kind", "opaque", "glass", "canvas")),
    (Surface, word("surface_boundary_known", "boundary", "outside", "bulkhead", "engine_lid", "none")),
    (Surface, above("surface_area_positive", "area_m2")),
    (Surface, above("surface_u_positive", "u_w_m2k")),
    (Surface, share("surface_absorptance_share", "absorptance")),
    (Surface, share("surface_transmittance_share", "transmittance")),
    (Surface, share("surface_inward_share", "inward_share")),
    (Surface, share("surface_shade_share", "shade_factor")),
    (
        Surface,
        Held(
            "surface_absorbs_and_passes_at_most_all",
            ({"absorptance": 0.25, "transmittance": 0.75}, {"absorptance": 1.0}, {"transmittance": 1.0}),
            ({"absorptance": 0.25, "transmittance": 0.76}, {"absorptance": 1.0, "transmittance": 0.01}),
        ),
    ),
    (Surface, Held("surface_code_once", ({"code": "floor"},), ({"code": "ROOF"},))),
    (SurfaceLayer, above("layer_thickness_positive", "thickness_mm")),
    (SurfaceLayer, above("layer_conductivity_positive", "conductivity_w_mk")),
    (SurfaceLayer, Held("layer_once", ({"layer_order": 2},), ({"layer_order": 1},))),
    (Opening, above("opening_area_positive", "area_m2")),
    (Opening, above("opening_height_positive", "height_m")),
    (Opening, Held("opening_code_once", ({"code": "door"},), ({"code": "BACK"},))),
]  # fmt: skip


@pytest.fixture
def good(db) -> dict[type, dict[str, object]]:
    """A stored cabin with one row of each kind, and beside it a good row of each kind that is not stored."""
    line = make_line()
    cabin = Cabin.objects.create(line=line, code="c1", name="Cabin")
    roof = Surface.objects.create(cabin=cabin, **SURFACE | {"code": "roof"})
    CabinLeakage.objects.create(cabin=cabin, road_speed_km_h=50.0, leakage_m3_h=40.0)
    Seat.objects.create(cabin=cabin, code="fl", activity="driver")
    SurfaceLayer.objects.create(surface=roof, **LAYER | {"layer_order": 1})
    Opening.objects.create(cabin=cabin, **OPENING | {"code": "back"})
    return {
        Cabin: {**CABIN, "line": line},
        CabinLeakage: {"cabin": cabin, "road_speed_km_h": 90.0, "leakage_m3_h": 70.0},
        Seat: {"cabin": cabin, "code": "s9", "activity": "passenger"},
        Surface: {**SURFACE, "cabin": cabin},
        SurfaceLayer: {**LAYER, "surface": roof},
        Opening: {**OPENING, "cabin": cabin},
    }


@pytest.mark.parametrize(("model", "held"), RULES, ids=[held.rule for _, held in RULES])
def test_the_database_holds(good, model, held) -> None:
    hold(model, good[model], held)


def test_every_rule_of_a_cabin_has_its_case() -> None:
    cases = {held.rule for _, held in RULES} | {"surface_term_once"}
    assert rules_of(Cabin, CabinLeakage, Seat, Surface, SurfaceLayer, SurfaceTerm, Opening) == cases


def test_a_surface_names_an_option_once_and_the_option_stays_while_it_is_named(good) -> None:
    roof = Surface.objects.get()
    feature = Feature.objects.create(code="roof", name="Roof")
    steel, canvas = (Option.objects.create(feature=feature, code=c, name=c) for c in ("steel", "canvas"))
    SurfaceTerm.objects.create(surface=roof, option=steel)
    hold(
        SurfaceTerm, {"surface": roof}, Held("surface_term_once", ({"option": canvas},), ({"option": steel},))
    )
    with pytest.raises(ProtectedError):
        steel.delete()
    roof.delete()
    steel.delete()
    assert set(Option.objects.values_list("code", flat=True)) == {"canvas"}


def test_the_same_code_may_stand_in_another_line_and_in_another_cabin(good) -> None:
    other = Cabin.objects.create(line=make_line("L2"), **CABIN | {"code": "c1"})
    Seat.objects.create(cabin=other, code="fl", activity="driver")
    Surface.objects.create(cabin=other, **SURFACE | {"code": "roof"})
    CabinLeakage.objects.create(cabin=other, road_speed_km_h=50.0, leakage_m3_h=40.0)
    assert Cabin.objects.filter(code="c1").count() == 2


def test_a_cabin_takes_its_parts_with_it_but_not_while_a_car_has_it(good) -> None:
    cabin = Cabin.objects.get()
    variant = make_variant(cabin.line, cabin=cabin)
    with pytest.raises(ProtectedError):
        cabin.delete()
    variant.delete()
    cabin.delete()
    assert not any(m.objects.exists() for m in (Surface, SurfaceLayer, Seat, Opening, CabinLeakage))


@pytest.mark.parametrize(
    ("row", "field"),
    [
        (Cabin(**CABIN | {"code": "-c"}), "code"),
        (Cabin(**CABIN | {"code": "c~1"}), "code"),
        (Cabin(**CABIN | {"code": "c" * 31}), "code"),
        (Cabin(**CABIN | {"name": ""}), "name"),
        (Cabin(**CABIN, origin_kind="guess"), "origin_kind"),
        (Surface(**SURFACE | {"kind": ""}), "kind"),
        (SurfaceLayer(**LAYER | {"layer_order": -1}), "layer_order"),
        (SurfaceLayer(**LAYER | {"thickness_mm": None}), "thickness_mm"),
        (Opening(**OPENING | {"height_m": None}), "height_m"),
        (CabinLeakage(road_speed_km_h=None, leakage_m3_h=1.0), "road_speed_km_h"),
        (Seat(code="fl", activity="driver", face_x_mm="left"), "face_x_mm"),
    ],
    ids=lambda value: value if isinstance(value, str) else type(value).__name__,
)
def test_a_row_that_makes_no_sense_is_told_by_its_field(row, field) -> None:
    with pytest.raises(ValidationError) as told:
        row.clean_fields()
    assert set(told.value.message_dict) - {"cabin", "surface", "line"} == {field}
