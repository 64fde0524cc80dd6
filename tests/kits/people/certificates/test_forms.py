"""What is typed of a certificate."""

from datetime import date

import pytest

from kits.people.certificates.forms import CertificateForm, WithdrawForm

TODAY = date(2026, 11, 30)
TYPED = {
    "version": "1",
    "kind": "refrigerant",
    "number": " R  1 ",
    "valid_from": "2026-01-01",
    "valid_until": "",
}


def wrong(**typed):
    """What is said beside which field."""
    return CertificateForm({**TYPED, **typed}, today=TODAY).errors


def test_what_can_be_is_taken():
    form = CertificateForm(TYPED, today=TODAY)
    assert form.is_valid(), form.errors
    assert (form.cleaned_data["number"], form.cleaned_data["valid_until"]) == ("R 1", None)
    assert wrong(valid_until="2026-01-01") == {}


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("kind", "flying", "Choose one of the kinds"),
        ("number", "", "Type the number"),
        ("number", "x" * 41, "at most 40 fit"),
        ("number", "R\x00", "can’t be shown"),
        ("number", "R\u202e1", "can’t be seen"),
        ("issued_by", "x" * 10_000, "has 10,000 characters; at most 80 fit"),
        ("valid_from", "", "Say from which day"),
        ("valid_from", "0001-01-01", "hardly right"),
        ("valid_from", "9999-12-31", "hardly right"),
        ("valid_from", "soon", "Write the date as"),
        ("valid_until", "9999-12-31", "leave it empty where the certificate has no end"),
        ("valid_until", "2025-12-31", "before the first"),
        ("version", "x", "lost its state"),
        ("version", "9" * 30, "lost its state"),
    ],
)
def test_what_can_not_be_is_refused_in_a_sentence(field, typed, said):
    found = wrong(**{field: typed})
    assert said in found[field][0] and set(found) == {field}


def test_withdrawing_asks_for_a_reason():
    assert WithdrawForm({"version": "1", "reason": " "}).errors["reason"] == [
        "Say why; it stands in the history."
    ]
