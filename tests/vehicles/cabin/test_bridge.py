"""A cabin's rows become the heat load's values: what is told, what is not known, in which order, for which car."""

from dataclasses import fields

import pytest
from django.db import transaction
from django.db.models import Prefetch

from tests.vehicles.rows import make_line
from vehicles.cabin.bridge import cabin_data
from vehicles.cabin.models import Cabin, CabinLeakage, Opening, Seat, Surface, SurfaceLayer, SurfaceTerm
from vehicles.catalogue.models import Feature, Option
from vehicles.heatload import inputs
from vehicles.heatload.exchange import leakage_m3_h

pytestmark = pytest.mark.django_db

LEFT_STEEL = {"side": "left", "roof": "steel", "glass": "clear"}
TERMS = {
    "anywhere": (),
    "left only": (("left", False),),
    "left or right": (("left", False), ("right", False)),
    "not left": (("left", True),),
    "left and canvas": (("left", False), ("canvas", False)),
    "left, not canvas": (("left", False), ("canvas", True)),
    "tinted": (("tinted", False),),
}


def make_cabin(line, code: str, **values: object) -> Cabin:
    return Cabin.objects.create(line=line, code=code, name="Cabin", **values)


def make_surfaces(cabin: Cabin) -> None:
    """One surface for each set of terms, a roof of layers and a pane with every number."""
    options = {
        code: Option.objects.create(
            feature=Feature.objects.get_or_create(code=feature)[0], code=code, name=code
        )
        for code, feature in (
            ("left", "side"), ("right", "side"), ("steel", "roof"), ("canvas", "roof"), ("tinted", "glass"),
        )
    }  # fmt: skip
    for code, terms in TERMS.items():
        surface = Surface.objects.create(cabin=cabin, code=code, name=code, kind="opaque")
        for option, excluded in terms:
            SurfaceTerm.objects.create(surface=surface, option=options[option], excluded=excluded)
    roof = Surface.objects.create(cabin=cabin, code="roof", name="Roof", kind="canvas", boundary="none")
    # entered from inside to outside; the order counts from outside
    for order, thickness, conductivity in ((2, 8.0, 0.04), (1, 0.9, 50.0)):
        SurfaceLayer.objects.create(
            surface=roof, layer_order=order, material="m", thickness_mm=thickness, conductivity_w_mk=conductivity
        )  # fmt: skip
    Surface.objects.create(
        cabin=cabin, code="pane", name="Pane", kind="glass", boundary="outside", area_m2=0.51, tilt_deg=52.0,
        facing_deg=3.0, u_w_m2k=5.7, absorptance=0.14, transmittance=0.79, inward_share=0.24, shade_factor=0.9,
    )  # fmt: skip


@pytest.fixture(scope="module")
def rows(django_db_setup, django_db_blocker) -> dict[str, Cabin]:
    """Cabins with their related rows, made and fetched once for all tests of this file; nothing stays stored."""
    with django_db_blocker.unblock(), transaction.atomic():
        line = make_line()
        full = make_cabin(
            line, "full", volume_m3=2.3, intake_rise_k=4.0, flap_leak_share=0.06, fresh_air_m3_h=240.0
        )
        make_cabin(line, "empty")
        make_cabin(line, "shut", volume_m3=2.3, fresh_air_m3_h=0.0)
        make_surfaces(full)
        for code, activity, face in (
            ("z", "driver", (400.0, -350.0, 900.0)),
            ("a", "passenger", (None,) * 3),
        ):
            x, y, z = face
            Seat.objects.create(
                cabin=full, code=code, activity=activity, face_x_mm=x, face_y_mm=y, face_z_mm=z
            )
        for code, area in (("window", 0.12), ("back", 0.9)):
            Opening.objects.create(cabin=full, code=code, name=code, area_m2=area, height_m=area / 2)
        for speed, flow in ((100.0, 110.0), (0.0, 6.0), (50.0, 45.0)):
            CabinLeakage.objects.create(cabin=full, road_speed_km_h=speed, leakage_m3_h=flow)
        surfaces = Prefetch("surfaces", Surface.objects.prefetch_related("layers", "terms__option__feature"))
        found = Cabin.objects.prefetch_related(surfaces, "seats", "openings", "leakage")
        fetched = {cabin.code: cabin for cabin in found}
        transaction.set_rollback(True)
    return fetched


@pytest.mark.parametrize(
    ("code", "told"),
    [
        ("full", (2.3, 4.0, 0.06, 240.0)),
        ("empty", (None, None, None, None)),
        # no fresh air is a value, unlike fresh air that nobody measured
        ("shut", (2.3, None, None, 0.0)),
    ],
)
def test_the_cabins_own_numbers_are_passed_on_and_what_is_empty_is_not_known(rows, code, told):
    data = cabin_data(rows[code], {})
    assert (data.volume_m3, data.intake_rise_k, data.flap_leak_share, data.fresh_air_m3_h) == told


def test_rows_that_were_fetched_are_not_asked_for_again(rows, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert len(cabin_data(rows["full"], LEFT_STEEL).surfaces) == 6


def test_a_cabin_without_parts_has_none(rows):
    data = cabin_data(rows["empty"], LEFT_STEEL)
    assert (data.surfaces, data.seats, data.openings, data.leakage_m3_h) == ((), (), (), ())


@pytest.mark.parametrize(
    ("options", "there"),
    [
        (LEFT_STEEL, ["anywhere", "left only", "left or right", "left, not canvas"]),
        ({"side": "left", "roof": "canvas"}, ["anywhere", "left only", "left or right", "left and canvas"]),
        ({"side": "right", "roof": "canvas"}, ["anywhere", "left or right", "not left"]),
        ({"side": "middle", "roof": "steel"}, ["anywhere", "not left"]),
        ({"side": "left", "glass": "tinted"}, ["anywhere", "left only", "left or right", "left, not canvas", "tinted"]),
        # a car that has no option of a feature is none of "only these", and is "not these"
        ({}, ["anywhere", "not left"]),
    ],
    ids=lambda value: " ".join(value.values()) or "no option" if isinstance(value, dict) else "",
)  # fmt: skip
def test_a_surface_is_there_with_its_options_only(rows, options, there):
    assert [s.code for s in cabin_data(rows["full"], options).surfaces] == [*there, "roof", "pane"]


def test_each_number_of_a_pane_comes_to_its_place(rows):
    pane = cabin_data(rows["full"], {}).surfaces[-1]
    assert pane == inputs.Surface(
        code="pane", name="Pane", kind="glass", boundary="outside", area_m2=0.51, tilt_deg=52.0, facing_deg=3.0,
        u_w_m2k=5.7, layers=(), absorptance=0.14, transmittance=0.79, inward_share=0.24, shade_factor=0.9,
    )  # fmt: skip
    filled = [getattr(pane, field.name) for field in fields(pane) if field.name != "layers"]
    assert len(set(filled)) == len(filled), "two equal values would hide that they changed places"


def test_layers_stand_from_outside_to_inside_however_they_were_entered(rows):
    roof = cabin_data(rows["full"], {}).surfaces[-2]
    assert (roof.kind, roof.boundary, roof.layers) == ("canvas", "none", ((0.9, 50.0), (8.0, 0.04)))


def test_what_a_surface_does_not_say_is_not_known_and_nothing_shades_it(rows):
    bare = cabin_data(rows["full"], {}).surfaces[0]
    assert (bare.area_m2, bare.tilt_deg, bare.facing_deg, bare.u_w_m2k, bare.absorptance) == (None,) * 5
    assert (bare.transmittance, bare.inward_share, bare.shade_factor) == (None, None, 1.0)


def test_seats_stand_as_they_were_entered_with_the_face_in_its_three_directions(rows):
    assert cabin_data(rows["full"], {}).seats == (
        inputs.Seat("z", "driver", face_x_mm=400.0, face_y_mm=-350.0, face_z_mm=900.0),
        inputs.Seat("a", "passenger"),
    )


def test_openings_keep_area_and_height_apart(rows):
    assert cabin_data(rows["full"], {}).openings == (
        inputs.Opening("window", area_m2=0.12, height_m=0.06),
        inputs.Opening("back", area_m2=0.9, height_m=0.45),
    )


def test_leakage_rises_with_speed_and_is_known_between_its_rows_only(rows):
    table = cabin_data(rows["full"], {}).leakage_m3_h
    assert table == ((0.0, 6.0), (50.0, 45.0), (100.0, 110.0))
    # by hand: 45 and three tenths of 65
    assert leakage_m3_h(table, 65.0) == pytest.approx(64.5)
    assert leakage_m3_h(table, 100.1) != leakage_m3_h(table, 100.1), "beyond the rows nothing is known"
