"""What is changed on screen: all or nothing, with history, taken back exactly, never over somebody else's change."""

import pytest
from django.core.exceptions import PermissionDenied

from kits.bom.models import Entry, Kit, Position
from kits.editing.actions import copy_line, copy_variant, edit_rows, remove_row, undo_act
from kits.editing.changes import RowEdit
from kits.editing.queries import changes_of, removal
from kits.exchange.actions import check_workbook
from kits.exchange.bridge import load_state
from kits.exchange.models import RowChange
from kits.exchange.queries import export_workbook
from kits.exchange.sheets.bridge import BY_NAME
from kits.fitment.models import CatalogueStamp, Fitment
from kits.parts.models import Part
from vehicles.cabin.models import Surface
from vehicles.catalogue.models import ModelLine, Variant
from vehicles.records.actions import Stale

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demonstration")]

LINE = "S4"


def whole(line=LINE):
    """Every stored row of the line and of what is shared, by sheet and key."""
    return {name: dict(rows) for name, rows in load_state(line).rows.items()}


def a_surface():
    return Surface.objects.filter(cabin__line__code=LINE).order_by("pk").first()


def surface_key(surface):
    return (surface.cabin.code.casefold(), surface.code.casefold())


def change_area(actor, surface, area_m2, seen):
    edit = RowEdit("change", "Surfaces", surface_key(surface), {"area_m2": area_m2}, {"area_m2": seen})
    return edit_rows(actor=actor, line=LINE, edits=[edit], reason="measured again")


def test_a_change_is_written_with_its_history_and_makes_sizings_out_of_date(manager):
    surface = a_surface()
    before = CatalogueStamp.objects.get().value
    assert change_area(manager, surface, 1.23, surface.area_m2).count == 1
    assert Surface.objects.get(pk=surface.pk).area_m2 == 1.23
    told = RowChange.objects.first()
    assert (told.act.person, told.act.reason, told.sheet, told.kind) == (
        manager,
        "measured again",
        "Surfaces",
        "change",
    )
    assert told.fields == {"area_m2": [surface.area_m2, 1.23]}
    assert CatalogueStamp.objects.get().value > before


def test_what_moved_since_it_was_seen_is_not_written_over(manager):
    surface = a_surface()
    change_area(manager, surface, 1.23, surface.area_m2)
    with pytest.raises(Stale, match="changed in the meantime"):
        change_area(manager, surface, 1.5, surface.area_m2)
    assert Surface.objects.get(pk=surface.pk).area_m2 == 1.23


def test_the_same_change_twice_is_written_once(manager):
    surface = a_surface()
    assert change_area(manager, surface, 1.23, surface.area_m2).count == 1
    assert change_area(manager, surface, 1.23, surface.area_m2).count == 0
    assert RowChange.objects.filter(act__reason="measured again").count() == 1


@pytest.mark.parametrize("area_m2", [0.0, -1.0])
def test_what_the_database_would_refuse_is_told_beside_its_field(manager, area_m2):
    surface = a_surface()
    written = change_area(manager, surface, area_m2, surface.area_m2)
    assert written.count == 0
    assert [problem.column for problem in written.problems] == ["area_m2"]
    assert Surface.objects.get(pk=surface.pk).area_m2 == surface.area_m2


def test_of_two_edits_none_is_written_when_one_is_wrong(manager):
    first, second = Surface.objects.filter(cabin__line__code=LINE).order_by("pk")[:2]
    edits = [
        RowEdit("change", "Surfaces", surface_key(first), {"area_m2": 1.23}, {"area_m2": first.area_m2}),
        RowEdit(
            "change",
            "Surfaces",
            surface_key(second),
            {"absorptance": 7.0},
            {"absorptance": second.absorptance},
        ),
    ]
    assert edit_rows(actor=manager, line=LINE, edits=edits, reason="x").problems
    assert Surface.objects.get(pk=first.pk).area_m2 == first.area_m2


@pytest.mark.parametrize("who", ["owner", "installer", "production", "stranger"])
def test_only_a_manager_may(request, who):
    actor, surface = request.getfixturevalue(who), a_surface()
    with pytest.raises(PermissionDenied):
        change_area(actor, surface, 1.23, surface.area_m2)
    with pytest.raises(PermissionDenied):
        undo_act(actor=actor, act=RowChange.objects.first().act.key)


def an_entry():
    return Entry.objects.filter(terms__isnull=False).order_by("pk").first()


def entry_key(entry):
    return (entry.position.kit.code.casefold(), entry.position.number, entry.number)


def test_an_entrys_options_are_changed_and_taken_back_exactly(manager):
    before = whole()
    entry = an_entry()
    key = entry_key(entry)
    stored = before["Entries"][key]
    feature = next(name for name, value in stored.items() if name.startswith("option:") and value)
    edit = RowEdit("change", "Entries", key, {feature: ""}, {feature: stored[feature]})
    assert edit_rows(actor=manager, line="", edits=[edit], reason="for any car").count == 1
    assert whole()["Entries"][key][feature] == ""
    undo_act(actor=manager, act=RowChange.objects.first().act.key)
    assert whole() == before


def test_a_position_goes_with_its_entries_and_comes_back_with_them(manager):
    kit = Kit.objects.get(code="S4-DASH")
    part = Part.objects.order_by("number").first().number
    position = {"kit": kit.code, "number": 995, "name": "spare", "zone": "boot"}
    entry = {"kit": kit.code, "position": 995, "number": 1, "part_number": part}
    edits = [RowEdit("add", "Positions", values=position), RowEdit("add", "Entries", values=entry)]
    assert edit_rows(actor=manager, line="", edits=edits, reason="spare").count == 2
    before, key = whole(), (kit.code.casefold(), 995)
    assert remove(manager, "Positions", key).count == 2
    assert not Position.objects.filter(kit=kit, number=995).exists()
    undo_act(actor=manager, act=RowChange.objects.first().act.key)
    assert whole() == before


def test_a_position_that_a_joint_or_a_step_needs_stays(manager):
    position = Position.objects.filter(fitted_by__isnull=False).order_by("pk").first()
    written = remove(manager, "Positions", (position.kit.code.casefold(), position.number))
    assert written.count == 0
    assert any("needs it" in problem.sentence for problem in written.problems)
    assert Position.objects.filter(pk=position.pk).exists()


def remove(actor, sheet, key):
    """Remove a row, with the count that goes."""
    count = len(removal(LINE, sheet, key))
    return remove_row(
        actor=actor, line=LINE, sheet=sheet, key=key, seen={}, confirmed_count=count, reason="gone"
    )


def test_a_wrong_count_removes_nothing(manager):
    surface = a_surface()
    with pytest.raises(Stale, match="rows that would go"):
        remove_row(
            actor=manager,
            line=LINE,
            sheet="Surfaces",
            key=surface_key(surface),
            seen={},
            confirmed_count=99,
            reason="",
        )
    assert Surface.objects.filter(pk=surface.pk).exists()


def test_a_removed_surface_comes_back_with_layers_and_terms(manager):
    before = whole()
    surface = Surface.objects.filter(cabin__line__code=LINE, terms__isnull=False).order_by("pk").first()
    written = remove(manager, "Surfaces", surface_key(surface))
    assert written.count > 0 and not written.problems
    assert surface_key(surface) not in whole()["Surfaces"]
    undo_act(actor=manager, act=RowChange.objects.first().act.key)
    assert whole() == before


def test_a_kit_with_lengths_on_record_stays(manager):
    written = remove(manager, "Kits", (Kit.objects.get(code="S4-DASH").code.casefold(),))
    assert [problem.sheet for problem in written.problems] == ["Kits"]
    assert "lengths" in written.problems[0].sentence
    assert Kit.objects.exists()


def test_a_renamed_code_keeps_everything_that_points_at_it(manager):
    before = whole()
    key = next(iter(before["Cabins"]))
    code = before["Cabins"][key]["code"]
    edit = RowEdit("change", "Cabins", key, {"code": "NEW-1"}, {"code": code})
    assert edit_rows(actor=manager, line=LINE, edits=[edit], reason="better code").count == 1
    after = whole()
    assert ("new-1",) in after["Cabins"] and key not in after["Cabins"]
    assert len(after["Surfaces"]) == len(before["Surfaces"])
    undo_act(actor=manager, act=RowChange.objects.first().act.key)
    assert whole() == before


def test_an_act_that_was_built_upon_is_not_taken_back(manager):
    surface = a_surface()
    change_area(manager, surface, 1.23, surface.area_m2)
    first = RowChange.objects.first().act.key
    change_area(manager, surface, 1.5, 1.23)
    with pytest.raises(Stale):
        undo_act(actor=manager, act=first)
    assert Surface.objects.get(pk=surface.pk).area_m2 == 1.5


def test_a_copied_variant_says_that_it_is_to_be_surveyed(manager):
    source = Variant.objects.filter(line__code=LINE).order_by("code").first()
    written = copy_variant(
        actor=manager, line=LINE, source=source.code, code="COPY1", name="A copy", options={},
        parts=["mounting", "lengths"],
    )  # fmt: skip
    assert not written.problems
    made = Variant.objects.get(line__code=LINE, code="COPY1")
    assert made.to_be_surveyed and made.cabin == source.cabin
    fitments = Fitment.objects.filter(variant=made)
    assert fitments.count() == Fitment.objects.filter(variant=source).count() > 0
    for fitment in fitments:
        assert fitment.origin_kind == "estimate"
        for length in fitment.route_lengths.all():
            assert length.origin_kind == "estimate" and source.code in length.origin_source
    copied = {r.route_id for f in fitments for r in f.route_lengths.all()}
    assert copied == {
        r.route_id for f in Fitment.objects.filter(variant=source) for r in f.route_lengths.all()
    }
    undo = undo_act(actor=manager, act=RowChange.objects.first().act.key)
    assert undo.problems  # lengths are only added: a variant that has some stays


def test_a_copied_line_has_the_rows_of_its_source_as_estimates(manager):
    written = copy_line(
        actor=manager, source=LINE, code="S5", name="Solenne S5", maker="Solenne",
        parts=["variants", "routes", "offers", "lengths"],
    )  # fmt: skip
    assert not written.problems
    old, new = whole(), whole("S5")
    for sheet in ("Cabins", "Surfaces", "Leakage", "Powertrains", "Variants", "Routes", "Fitments", "Offers"):
        assert set(new[sheet]) == set(old[sheet]), sheet
    assert all(row["origin_kind"] == "estimate" for row in new["Surfaces"].values())
    assert all(row["to_be_surveyed"] for row in new["Variants"].values())
    assert not new["Charges"] and not new["Chassis"]
    assert ModelLine.objects.filter(code="S5").exists()
    assert len({change.act for change in RowChange.objects.filter(act__reason="copy of S4")}) == 1


def test_a_line_is_not_copied_onto_another(manager):
    assert copy_line(actor=manager, source=LINE, code="s4", name="x", maker="", parts=[]).problems


def test_an_import_leaves_the_history_of_every_row(manager):
    act = RowChange.objects.order_by("pk").first().act.key
    rows = whole()
    told = {(change.sheet, change.kind) for change in changes_of(act)}
    assert {kind for _, kind in told} == {"add"}
    filled = {name for name, found in rows.items() if found and name in BY_NAME}
    assert {sheet for sheet, _ in told} == filled
    counts = {name: changes_of(act).filter(sheet=name).count() for name in filled}
    assert counts == {name: len(rows[name]) for name in filled}


def test_a_copied_lines_workbook_is_written_and_says_what_is_stored(manager):
    written = copy_line(
        actor=manager, source=LINE, code="S5", name="Solenne S5", maker="Solenne",
        parts=["variants", "routes", "offers", "lengths"],
    )  # fmt: skip
    assert not written.problems
    content = export_workbook(ModelLine.objects.get(code="S5"))
    plan = check_workbook(actor=manager, file_name="s5.xlsx", content=content)
    assert (plan.state, plan.plan["sheets"]) == ("ready", {}), plan.plan["problems"][:3]
