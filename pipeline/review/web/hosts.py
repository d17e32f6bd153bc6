"""Names that the desk answers to. A page of elsewhere whose name was made to lead here (DNS rebinding) is not one."""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Iterable

_HOST = re.compile(r"(\[[0-9A-Fa-f:.]+\]|[A-Za-z0-9._-]+)(?::\d{1,5})?", re.ASCII)


def is_loopback(host: str) -> bool:
    """Whether an address to listen at can be reached from this machine alone."""
    name = host.strip("[]").rstrip(".").lower()
    if name == "localhost":
        return True
    try:
        return ipaddress.ip_address(name).is_loopback
    except ValueError:
        return False


class Hosts:
    """What may stand in the header Host.

    Args:
        listens_at: the address that the desk listens at.
        names: further names, like that of a proxy.
    """

    def __init__(self, listens_at: str, names: Iterable[str] = ()):
        self._is_near = is_loopback(listens_at)
        known = {"localhost", *(name.lower() for name in names)}
        if not self._is_near:
            own = socket.gethostname().lower()
            known |= {listens_at.lower(), own, f"{own}.local", socket.getfqdn().lower()}
        self._names = known

    def allows(self, host: str | None) -> bool:
        """Whether a request to that host is meant for this desk; any port will do, for tunnels."""
        found = _HOST.fullmatch(host or "")
        if not found:
            return False
        name = found[1].strip("[]").rstrip(".").lower()
        if name in self._names:
            return True
        try:
            address = ipaddress.ip_address(name)
        except ValueError:
            return False
        # Nobody can make an address lead elsewhere; yet a desk on the loopback has no other.
        return address.is_loopback or not self._is_near
