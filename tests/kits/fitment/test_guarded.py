"""What can't be worked out of one fitment is told there, and all others have their answers."""

from dataclasses import replace

import pytest

from kits.fitment import bridge
from kits.fitment.bridge import size_catalogue
from kits.sizing.electrics.battery import ChargingCurve
from kits.topics import every
from tests.kits.fitment.conftest import ON
from vehicles.records.guard import guarded

SPOILT = "CP12R"


@pytest.fixture
def four(catalogue, guarding):
    """A few fitments of the line, among them the one that is spoilt."""
    wanted = {("S4-DASH", "S4", car) for car in ("CP12L", SPOILT, "TR12R", "TR6L")}
    chosen = [f for f in catalogue.fitments if f.key in wanted]
    assert len(chosen) == 4
    return replace(catalogue, fitments=tuple(chosen))


def by_car(catalogue):
    return {f.variant.code: s for f, s in zip(catalogue.fitments, size_catalogue(catalogue), strict=True)}


def test_a_case_that_breaks_the_sizing_is_not_sized_and_the_others_are_as_without_it(
    four, records, monkeypatch
):
    def size(cases):
        if any(case.car.name == name for case in cases):
            raise ZeroDivisionError("a fault of our own")
        return real(cases)

    real = bridge.size
    name = next(f.variant.name for f in four.fitments if f.variant.code == SPOILT)
    monkeypatch.setattr(bridge, "size", size)
    found = by_car(four)
    assert found[SPOILT].record.verdict == "not sized"
    (gap,) = found[SPOILT].record.missing
    assert gap.sentence.startswith(f"The sizing of {name} could not be worked out (log ")
    for code, sized in found.items():
        if code != SPOILT:
            assert sized.record.verdict == records[code].verdict
            if records[code].margin_share is not None:
                assert sized.record.margin_share == pytest.approx(records[code].margin_share, rel=1e-6)


def test_a_kit_that_can_not_be_resolved_for_one_car_spoils_no_other(four, records, monkeypatch):
    def resolve(kit, variant, *rest):
        if variant.code == SPOILT:
            raise KeyError("nowhere")
        return real(kit, variant, *rest)

    real = bridge.resolve
    monkeypatch.setattr(bridge, "resolve", resolve)
    found = by_car(four)
    assert found[SPOILT].record.missing[0].sentence.startswith("The kit S4-DASH for ")
    assert {code: s.record.verdict for code, s in found.items() if code != SPOILT} == {
        code: records[code].verdict for code in found if code != SPOILT
    }


def broken(_):
    raise ZeroDivisionError("a fault of our own")


def test_a_topic_that_breaks_says_so_and_the_others_stand(guarding, four, records, monkeypatch):
    calculations = [
        replace(one, worker=broken) if one.code == "levers" else one for one in every.CALCULATIONS
    ]
    monkeypatch.setattr(every, "CALCULATIONS", calculations)
    fitment = next(f for f in four.fitments if f.variant.code == "CP12L")
    context = bridge.context_of(fitment, four.resolve(fitment), records["CP12L"])
    told = {topic.code: topic for topic in every.topics_of(context)}
    assert told["levers"].title == "What would help"
    assert told["levers"].answer.startswith("Of ")
    assert "the calculation “What would help” could not be worked out (log " in told["levers"].answer
    assert [r.code for r in told["levers"].remarks] == ["levers-not-worked-out"]
    assert len(told) > 12


def test_remarks_that_break_are_a_finding_and_what_blocks_stands(four, records, monkeypatch):
    calculations = [
        replace(one, remarks=broken) if one.code == "electrics" else one for one in every.CALCULATIONS
    ]
    monkeypatch.setattr(every, "CALCULATIONS", calculations)
    sized = by_car(four)
    for code, one in sized.items():
        told, before = (
            [r for r in found.remarks if r.topic[0] == "electrics"] for found in (one.record, records[code])
        )
        assert [r.code for r in told if r.severity == "blocks"] == [
            r.code for r in before if r.severity == "blocks"
        ]
        assert "electrics-not-worked-out" in {r.code for r in told}
    assert any(r.severity == "blocks" for found in sized.values() for r in found.record.remarks)


def test_the_page_of_a_fitment_that_can_not_be_resolved_says_so_and_the_fit_table_stands(
    guarding, demonstration, owner_client, monkeypatch
):
    def resolve(*_):
        raise KeyError("nowhere")

    monkeypatch.setattr(bridge, "resolve", resolve)
    page = owner_client.get(f"/fitments/S4-DASH/S4/{SPOILT}/")
    assert page.status_code == 422
    assert "could not be worked out (log " in page.content.decode()
    assert owner_client.get("/fit/").status_code == 200


def test_a_kit_that_can_not_be_compiled_is_told_with_its_own_fitments(guarding, demonstration, monkeypatch):
    def compile_kit(spec, parts):
        raise ZeroDivisionError("a fault of our own")

    monkeypatch.setattr(bridge, "compile_kit", compile_kit)
    (sized,) = size_catalogue(bridge.load_catalogue([("S4-DASH", "S4", SPOILT)], ON))
    assert sized.record.missing[0].sentence.startswith("The kit S4-DASH could not be worked out (log ")


def test_what_a_calculation_refuses_of_its_rows_is_told_in_its_sentence(guarding):
    found = guarded("The charge balance", lambda: ChargingCurve(((900.0, 10.0), (800.0, 20.0))))
    assert found.sentence == (
        "The charge balance could not be worked out: "
        "A charging curve needs rows of rising engine speed, and no negative current."
    )
