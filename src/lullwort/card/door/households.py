"""Which addresses count as one where somebody is kept from taking, or trying, too much."""

from __future__ import annotations

import ipaddress

__all__ = ["household"]

_LONGEST = 64


def household(address: str) -> str:
    """One address, or of IPv6 the 64 bits that a household has for itself [RFC 4291 2.5.4].

    >>> household("192.0.2.7"), household("::ffff:192.0.2.7"), household("2001:db8::1:2:3"), household("fe80::1%eth0")
    ('192.0.2.7', '192.0.2.7', '2001:db8::/64', 'fe80::/64')
    """
    try:
        known = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return address[:_LONGEST]
    if known.version == 6 and known.ipv4_mapped is not None:
        return str(known.ipv4_mapped)
    return str(known) if known.version == 4 else str(ipaddress.ip_network((known, 64), strict=False))
