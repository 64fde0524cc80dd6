"""Two people change rows on screen at the same time: one act after the other, each whole, none over the other."""

from functools import partial

from django.urls import reverse

from kits.bom.models import Entry, Kit, Position
from kits.editing.actions import Written, remove_row, undo_act
from kits.editing.changes import RowEdit
from kits.editing.queries import removal
from kits.editing.slugs import key_param
from kits.exchange.models import RowChange
from kits.fitment.models import CatalogueStamp, Market
from tests.conftest import signed_in
from tests.kits.concurrency.acts import (
    KIT,
    a_market,
    a_position,
    an_entry,
    one_of_each,
    renamed,
    stamp,
    written,
)
from tests.kits.concurrency.people import at_once, while_held
from tests.kits.editing.test_views import form_of
from tests.kits.exchange.rows import LINE
from vehicles.records.actions import Stale

WRITERS = 8


def test_of_two_changes_of_one_field_the_second_is_refused_as_stale(together, one, other):
    before = stamp()
    told = together(renamed(one, "of one"), renamed(other, "of other"))
    saved, refused = one_of_each(told, [Written, Stale])
    assert saved == Written(1)
    assert "was changed in the meantime" in str(refused)
    (history,) = RowChange.objects.filter(act__reason__startswith="of ")
    assert Kit.objects.get(code="x1").name == history.act.reason == f"of {history.act.person.username}"
    assert stamp() == before + 1


def test_the_refused_one_of_two_has_written_no_other_row_either(together, one, other):
    told = together(
        written(one, *renamed(one, "of one").keywords["edits"], a_market("one", "Market of one")),
        written(other, *renamed(other, "of other").keywords["edits"], a_market("other", "Market of other")),
    )
    one_of_each(told, [Written, Stale])
    winner = Kit.objects.get(code="x1").name.removeprefix("of ")
    assert set(Market.objects.filter(name__startswith="Market").values_list("code", flat=True)) == {winner}


def test_two_changes_of_different_fields_of_one_row_both_stand(together, one, other):
    oil = RowEdit("change", "Kits", KIT, {"oil_ml": 321.0}, {"oil_ml": Kit.objects.get(code="x1").oil_ml})
    assert together(renamed(one, "new name"), written(other, oil)) == [Written(1), Written(1)]
    kit = Kit.objects.get(code="x1")
    assert (kit.name, kit.oil_ml) == ("new name", 321.0)


def test_of_two_new_rows_with_one_key_the_second_is_told_that_it_exists(together, one, other):
    told = together(written(one, a_market("at", "of one")), written(other, a_market("AT", "of other")))
    count, sentences = zip(*sorted((w.count, [p.sentence for p in w.problems]) for w in told), strict=True)
    assert count == (0, 1)
    assert len(sentences[0]) == 1 and "exists already" in sentences[0][0]
    assert Market.objects.filter(code__iexact="at").count() == 1


def test_a_stale_form_gets_its_page_and_not_an_error(together, one, other):
    where = f"{reverse('edit-row', args=[LINE, 'kits'])}?key={key_param(KIT)}"
    clients = [signed_in(person) for person in (one, other)]
    forms = [form_of(client.get(where)) | {"row-name": "typed"} for client in clients]
    forms[1]["row-name"] = "typed by other"
    answers = together(
        *(partial(client.post, where, form) for client, form in zip(clients, forms, strict=True))
    )
    assert sorted(answer.status_code for answer in answers) == [302, 409]
    assert Kit.objects.get(code="x1").name == forms[answers[1].status_code == 302]["row-name"]


def test_one_form_that_is_sent_twice_at_once_makes_one_row_and_both_are_sent_on(together, one):
    where = reverse("edit-row", args=["-", "markets"])
    client = signed_in(one)
    form = form_of(client.get(where)) | {"row-code": "twice", "row-name": "Twice"}
    answers = together(partial(client.post, where, form), partial(signed_in(one).post, where, form))
    assert [answer.status_code for answer in answers] == [302, 302]
    assert answers[0]["Location"] == answers[1]["Location"]
    assert Market.objects.filter(code="twice").count() == 1
    assert RowChange.objects.filter(sheet="Markets", label="twice").count() == 1


def test_a_form_that_was_refused_leaves_its_key_to_the_same_form_sent_at_once(one):
    where = reverse("edit-row", args=["-", "markets"])
    client = signed_in(one)
    form = form_of(client.get(where)) | {"row-code": "x1", "row-name": "Twice"}
    mended = form | {"row-code": "mended"}
    refusal = r'^INSERT INTO "vehicles_act"'
    answers = while_held(
        partial(client.post, where, form), partial(client.post, where, mended), after=refusal
    )
    assert [answer.status_code for answer in answers] == [422, 302]
    assert Market.objects.filter(code="mended").count() == 1


def an_act(actor, *edits):
    """Write rows; the act they were written with."""
    assert written(actor, *edits, reason="to be built upon")().count == len(edits)
    return RowChange.objects.first().act.key


def test_what_somebody_builds_upon_is_not_taken_back(one, other):
    act = an_act(one, a_position(995))
    built, undone = while_held(written(other, an_entry(995)), partial(undo_act, actor=one, act=act))
    assert built == Written(1)
    assert undone.count == 0 and undone.problems
    assert Entry.objects.filter(position__number=995).count() == 1


def test_nothing_is_built_upon_what_is_being_taken_back(one, other):
    act = an_act(one, a_position(995))
    undone, built = while_held(partial(undo_act, actor=one, act=act), written(other, an_entry(995)))
    assert undone == Written(1)
    assert built.count == 0 and built.problems
    assert not Position.objects.filter(number=995).exists()


def test_an_act_is_taken_back_once(together, one, other):
    act = an_act(one, a_market("at", "to go"))
    told = together(*(partial(undo_act, actor=person, act=act) for person in (one, other)))
    assert one_of_each(told, [Written, Stale])[0] == Written(1)
    assert RowChange.objects.filter(sheet="Markets", kind="remove").count() == 1


def test_a_row_stays_when_somebody_just_gave_it_another_that_its_remover_did_not_see(one, other):
    an_act(one, a_position(995))
    key = ("x1", 995)
    removed = partial(
        remove_row, actor=one, line="", sheet="Positions", key=key, seen={},
        confirmed_count=len(removal("", "Positions", key)), reason="away",
    )  # fmt: skip
    added, told = while_held(written(other, an_entry(995)), removed)
    assert added == Written(1)
    assert isinstance(told, Stale) or told.problems
    assert Entry.objects.filter(position__number=995).count() == 1


def test_each_of_eight_writers_counts_the_stamp_up_by_one(one):
    before = stamp()
    told = at_once(*(written(one, a_market(f"m{n}", f"Market {n}")) for n in range(WRITERS)))
    assert told == [Written(1)] * WRITERS
    assert stamp() == before + WRITERS


def test_two_first_writers_make_one_stamp(together, one, other):
    CatalogueStamp.objects.all().delete()
    assert together(renamed(one, "new"), written(other, a_market("at", "new"))) == [Written(1), Written(1)]
    assert stamp() == 1 + 2
