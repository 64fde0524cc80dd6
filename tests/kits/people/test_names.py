"""Names of accounts that can't be told apart."""

import pytest

from kits.people.names import can_be_read, hidden_signs, is_taken


@pytest.mark.parametrize(
    ("name", "other"),
    [
        ("anna", "ANNA"),
        ("ørsted", "ØRSTED"),
        ("ａnna", "anna"),
        ("straße", "STRASSE"),
        ("e\u0301va", "éva"),
        ("ﬁn", "fin"),
    ],
)
def test_names_that_look_the_same_are_the_same(name, other):
    assert is_taken(name, [other]) and is_taken(other, [name])


def test_other_names_are_free():
    assert not is_taken("anna", ["anna.berg", "ann", ""])


@pytest.mark.parametrize(
    "sign",
    [
        "\u200b",
        "\u202e",
        "\ufeff",
        "\u2066",
        "\u00ad",
        "\u3164",
        "\u115f",
        "\u1160",
        "\uffa0",
        "\u2800",
        "\u034f",
        "\u17b4",
    ],
)
def test_a_sign_that_nobody_sees_is_found(sign):
    assert hidden_signs(f"An{sign}na")


def test_letters_of_any_language_are_seen():
    assert not hidden_signs("Øystein Ångström-Müller, 王 Ольга")


@pytest.mark.parametrize(
    "text", ["", " ", "...", "@+-_", "\u3164", "\u1160\u115f", "\u200b", "\u2800", "\u0301", "🙂"]
)
def test_a_text_without_a_letter_or_digit_that_is_seen_can_not_be_read(text):
    assert not can_be_read(text)


@pytest.mark.parametrize("text", ["A", "7", "王", "Ольга", "-a-"])
def test_one_letter_or_digit_can_be_read(text):
    assert can_be_read(text)
