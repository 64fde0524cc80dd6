"""The page of the workshop's settings."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from kits.people.forms import attempted
from kits.people.models import ALWAYS
from kits.people.shop.actions import change_shop
from kits.people.shop.forms import ShopForm
from kits.people.shop.queries import history_of_shop, shop
from vehicles.records.access import MANAGER, OWNER, allow, not_kept


@allow(get={MANAGER, OWNER}, post={MANAGER})
@not_kept
def settings(request: HttpRequest) -> HttpResponse:
    """What is one answer for the whole workshop: a manager changes it, the owner reads it."""
    now = shop()
    form, status = ShopForm(initial={"version": now.version, "second_person": now.second_person}), 200
    if request.method == "POST":
        form = ShopForm(request.POST)
        changed, status = attempted(
            form, now.version, lambda values: change_shop(actor=request.user, **values)
        )
        if changed:
            messages.success(request, "Saved. Papers that are made from now on follow it.")
            return redirect("settings")
    context = {
        "shop": now, "form": form, "is_always": now.second_person == ALWAYS, "history": history_of_shop(),
    }  # fmt: skip
    return render(request, "people/settings.html", context, status=status)
