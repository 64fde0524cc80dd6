"""The forms of what is done to a certificate."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone

from kits.people.certificates import actions
from kits.people.certificates.forms import CertificateForm, NewCertificateForm, WithdrawForm
from kits.people.models import Certificate, Person
from kits.people.views import answer, person_or_404, sent
from vehicles.records.access import MANAGER, allow, not_kept
from vehicles.records.asked import sent_with


@allow(get={MANAGER}, post={MANAGER})
@not_kept
def add(request: HttpRequest, initials: str) -> HttpResponse:
    """One more certificate of a person."""
    held = person_or_404(initials)
    form = NewCertificateForm(sent(request), today=timezone.localdate(), initial={"version": held.version})
    act = partial(actions.record_certificate, sent=sent_with(request.POST))
    lead = "One that was renewed is recorded as another one; the old one stays."
    return answer(
        request, held, form, act, heading=f"Certificate of {held}", button="Record the certificate", lead=lead
    )


@allow(get={MANAGER}, post={MANAGER})
@not_kept
def change(request: HttpRequest, initials: str, certificate: int) -> HttpResponse:
    """Correct what was typed of a certificate."""
    held = person_or_404(initials)
    row = _certificate(held, certificate)
    names = ("kind", "number", "issued_by", "valid_from", "valid_until")
    given = {name: getattr(row, name) for name in names}
    form = CertificateForm(
        sent(request), today=timezone.localdate(), initial={**given, "version": held.version}
    )
    lead = "For what was typed wrong. One that was renewed is recorded as another one."
    return answer(
        request, held, form, partial(_of_certificate, actions.change_certificate, row.pk),
        heading=f"Correct {row}", button="Save", lead=lead,
    )  # fmt: skip


@allow(get={MANAGER}, post={MANAGER})
@not_kept
def withdraw(request: HttpRequest, initials: str, certificate: int) -> HttpResponse:
    """A certificate counts no more."""
    held, today = person_or_404(initials), timezone.localdate()
    row = _certificate(held, certificate)
    form = WithdrawForm(sent(request), initial={"version": held.version})
    lead = "From today on it does not count, whatever its last day. It stays in the list; this can’t be taken back."
    act = partial(_of_certificate, partial(actions.withdraw_certificate, on=today), row.pk)
    return answer(
        request,
        held,
        form,
        act,
        heading=f"Withdraw {row}",
        button="Withdraw it",
        lead=lead,
        is_grave=True,
    )


def _of_certificate(act: Callable[..., Any], pk: int, *, person_id: int, **values: Any) -> Any:
    """Do something to a certificate instead of its person."""
    return act(certificate_id=pk, **values)


def _certificate(held: Person, pk: int) -> Certificate:
    found = next((row for row in held.certificates.all() if row.pk == pk and row.withdrawn_on is None), None)
    if found is None:
        raise Http404("There is no such certificate, or it was withdrawn.")
    return found
