"""From where somebody asks: the one address that is counted, logged and shown."""

import ipaddress
from typing import Final

UNKNOWN: Final = "unknown"
NETWORK_BITS: Final = 64
"""One line of an internet provider has so many bits of IPv6 to itself: whoever has one address has all below it."""


def client_address(remote: str, forwarded: str, *, trusts_proxy: bool) -> str:
    """The address of whoever asks, as text; "unknown" when there is none that can be read.

    Parameters: remote (the other end of the connection), forwarded (the header X-Forwarded-For, "" without),
    trusts_proxy (whether a server in front is known to append to that header).
    Of the header only the last entry counts: the server in front appended it, those before it anybody may have
    written. One that can't be read falls back to the other end of the connection.
    """
    told = forwarded.rsplit(",", 1)[-1] if trusts_proxy else ""
    return _readable(told) or _readable(remote) or UNKNOWN


def network_of(address: str) -> str:
    """What is counted together: an IPv4 address itself, of an IPv6 address the /64 it lies in."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return UNKNOWN
    if found.version == 4:
        return str(found)
    return str(ipaddress.ip_network((found.packed, NETWORK_BITS), strict=False))


def _readable(text: str) -> str:
    """The address in its shortest spelling, "" when it is none. One of IPv4 within IPv6 is one of IPv4."""
    try:
        found = ipaddress.ip_address(text.strip())
    except ValueError:
        return ""
    if isinstance(found, ipaddress.IPv6Address):
        if found.ipv4_mapped:
            return str(found.ipv4_mapped)
        found = ipaddress.IPv6Address(
            found.packed
        )  # without its zone, which means something on one machine only
    return str(found)
