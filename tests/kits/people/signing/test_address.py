"""From where somebody asks, whatever the header says."""

import pytest

from kits.people.signing.address import UNKNOWN, client_address, network_of

PROXY = "10.0.0.2"


@pytest.mark.parametrize(
    ("forwarded", "expected"),
    [
        ("203.0.113.7", "203.0.113.7"),
        ("198.51.100.1, 203.0.113.7", "203.0.113.7"),
        ("203.0.113.9,203.0.113.7 ", "203.0.113.7"),
        ("2001:DB8:0:0::7", "2001:db8::7"),
        ("::ffff:203.0.113.7", "203.0.113.7"),
        ("fe80::1%eth0", "fe80::1"),
        ("", PROXY),
        ("203.0.113.7, unknown", PROXY),
        ("203.0.113.7:4711", PROXY),
        ("203.0.113.7,", PROXY),
        ("<script>", PROXY),
        ("1" * 5000, PROXY),
        ("203.0.113.007", PROXY),
        ("٢٠٣.0.113.7", PROXY),
    ],
)
def test_of_the_header_only_the_last_entry_counts_and_only_if_it_is_an_address(forwarded, expected):
    assert client_address(PROXY, forwarded, trusts_proxy=True) == expected


def test_without_a_trusted_proxy_the_header_says_nothing():
    assert client_address("192.0.2.4", "203.0.113.7", trusts_proxy=False) == "192.0.2.4"


@pytest.mark.parametrize("remote", ["", "unix:", "@"])
def test_a_connection_without_an_address_is_unknown(remote):
    assert client_address(remote, "", trusts_proxy=False) == UNKNOWN


@pytest.mark.parametrize(
    ("address", "counted"),
    [
        ("203.0.113.7", "203.0.113.7"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1:2::/64"),
        ("2001:db8:1:2:ffff::1", "2001:db8:1:2::/64"),
        ("2001:db8:1:3::1", "2001:db8:1:3::/64"),
        (UNKNOWN, UNKNOWN),
    ],
)
def test_of_ipv6_a_whole_line_is_counted_together(address, counted):
    assert network_of(address) == counted
    assert len(counted) <= 64
