"""How the workshop works, and who said so."""

from kits.people.models import ALWAYS, Shop


def shop() -> Shop:
    """The settings as they stand; before anybody changed one, as they are at first."""
    return Shop.objects.filter(pk=1).first() or Shop(pk=1)


def is_second_person_always_asked() -> bool:
    """Whether no paper lets "same person" be ticked."""
    return Shop.objects.filter(pk=1, second_person=ALWAYS).exists()


def history_of_shop() -> list[tuple[str, object]]:
    """What was changed of the settings, the newest first: what it was before, and the row of history."""
    rows = list(Shop.history.select_related("history_user").order_by("history_date", "history_id"))
    before = Shop().second_person
    told = []
    for row in rows:
        if row.second_person != before:
            told.append((before, row))
        before = row.second_person
    return told[::-1]
