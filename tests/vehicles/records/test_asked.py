"""What a request carries is read within limits; anything else is a sentence or nothing, never another exception."""

from uuid import UUID

import pytest
from django.http import QueryDict

from tests.keys import a_key
from vehicles.records.asked import (
    LONGEST_ADDRESS,
    LONGEST_REASON,
    LOST_STATE,
    Sent,
    Unreadable,
    digest_of,
    fault_of_text,
    json_value,
    next_address,
    own_address,
    sent_with,
    whole_number,
)

DIGITS = "9" * 5000


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("[]", []),
        ('{"a":null}', {"a": None}),
        ("[1,-2.5,true]", [1, -2.5, True]),
        ('["\u00e9 \\u00e9 \\\\u0000"]', ["é é \\u0000"]),
        (f"{2**63 - 1}", 2**63 - 1),
    ],
)
def test_json_as_our_pages_write_it_is_read(text, value):
    assert json_value(text) == value


@pytest.mark.parametrize(
    "text",
    [
        "", "{", "x", "NaN", "[Infinity]", "-Infinity", "1e999", DIGITS, f"-{DIGITS}", f"{2**63}", f"[1.{DIGITS}e9999]",
        '"\\ud800"', '{"\\udfff":1}', '"\\u0000"', '{"\\u0000":1}', "[" * 100_000, "[" * 100_000 + "]" * 100_000,
        '{"a":' * 50_000 + "1" + "}" * 50_000,
    ],
)  # fmt: skip
def test_json_that_no_page_of_ours_writes_is_refused_in_one_way(text):
    with pytest.raises(Unreadable):
        json_value(text)


@pytest.mark.parametrize(("text", "number"), [("1", 1), (" 12 ", 12), ("007", 7), ("40", 40)])
def test_a_whole_number_is_read_within_its_limits(text, number):
    assert whole_number(text, 1, 40) == number


@pytest.mark.parametrize(
    "text", ["", "0", "41", "-1", "+1", "1.0", "1e1", "²", "٣", "x", "1 2", DIGITS, "\x001", "1_0"]
)
def test_what_is_no_whole_number_within_them_is_none(text):
    assert whole_number(text, 1, 40) is None


@pytest.mark.parametrize(
    ("text", "address"),
    [
        ("/", "/"),
        ("/fit/?line=S4&text=a%20b#x", "/fit/?line=S4&text=a%20b#x"),
        ("/kits/S4-DASH/#joint-é", "/kits/S4-DASH/#joint-%C3%A9"),
    ],
)
def test_an_address_of_this_site_is_gone_to(text, address):
    assert own_address(text) == address


@pytest.mark.parametrize(
    "text",
    [
        "", "x", "fit/", "fit-table", ".", "//evil.example/", "/\\evil.example", "\\\\evil.example", "https://evil.example/",
        "javascript:alert(1)", "/a b", "/a\nb", "/a\x00", "/\ud800", "/" + "x" * LONGEST_ADDRESS,
        "/" + "é" * (LONGEST_ADDRESS // 2), " /fit/", "/\t/evil.example",
    ],
)  # fmt: skip
def test_any_other_address_is_not(text):
    assert own_address(text) == ""
    assert next_address({"next": text}, {}, "/history/") == "/history/"


def test_the_form_says_where_to_go_before_the_address_does():
    assert next_address({"next": "/a"}, {"next": "/b"}, "/c") == "/a"
    assert next_address({}, {"next": "/b"}, "/c") == "/b"
    assert next_address({}, {}, "/c") == "/c"


@pytest.mark.parametrize("sign", ["\x00", "\x1b", "\x7f", "\ud800"])
def test_a_text_with_what_cannot_be_shown_is_told(sign):
    assert fault_of_text("The reason", f"a{sign}b", 10) == (
        "The reason holds a character that can’t be shown; type it again."
    )


def test_a_text_of_any_other_signs_is_taken_to_its_last_character():
    assert fault_of_text("The reason", "é\t‮漢\n<b>", 8) == ""
    assert fault_of_text("The reason", "x" * 8, 8) == ""
    assert fault_of_text("The reason", "x" * 9, 8) == "The reason has 9 characters; at most 8 fit."


def test_a_form_brings_its_reason_and_its_key():
    found = sent_with(QueryDict(f"reason= because &idempotency_key={a_key('k')}"))
    assert (found.reason, found.key, found.problems) == ("because", a_key("k"), [])


def test_a_form_without_either_is_a_form():
    assert sent_with(QueryDict("")) == Sent(digest=digest_of({}))


@pytest.mark.parametrize("key", ["k", f"{a_key('k')}0", f"{UUID(a_key('k'))}", "a%00"])
def test_a_key_that_cannot_be_ours_is_a_lost_state(key):
    found = sent_with(QueryDict(f"idempotency_key={key}"))
    assert (found.key, found.problems) == ("", [LOST_STATE])


def test_a_reason_that_does_not_fit_is_told_and_kept():
    found = sent_with(QueryDict(f"reason={'r' * (LONGEST_REASON + 1)}"))
    assert found.problems == [
        f"The reason has {LONGEST_REASON + 1} characters; at most {LONGEST_REASON} fit."
    ]
    assert len(found.reason) == LONGEST_REASON + 1


def test_the_digest_is_that_of_the_content_alone():
    one = sent_with(QueryDict("a=1&b=2&b=3&idempotency_key=x&next=/y&csrfmiddlewaretoken=z")).digest
    assert one == sent_with(QueryDict("b=2&b=3&a=1&idempotency_key=w&next=/v")).digest
    assert one != sent_with(QueryDict("a=1&b=3&b=2")).digest
    assert one != sent_with(QueryDict("a=1&b=2&b=3&c=")).digest
    assert len(one) == 64
