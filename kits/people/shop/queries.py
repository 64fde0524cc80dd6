"""How the workshop works, and who said so."""

from django.db.models import QuerySet

from kits.people.models import ALWAYS, PeopleChange, Shop


def shop() -> Shop:
    """The settings as they stand; before anybody changed one, as they are at first."""
    return Shop.objects.filter(pk=1).first() or Shop(pk=1)


def is_second_person_always_asked() -> bool:
    """Whether no paper lets "same person" be ticked."""
    return Shop.objects.filter(pk=1, second_person=ALWAYS).exists()


def history_of_shop() -> QuerySet[PeopleChange]:
    """What was changed of the settings, the newest first."""
    changes = PeopleChange.objects.filter(fields__has_key="second_person")
    return changes.select_related("act__person").order_by("-pk")
