"""Who comes in by a browser.

- Every request must name a host that this machine answers to, which stops a page elsewhere from
  reaching it under a name of its own (DNS rebinding).
- A request that says where it comes from must come from our own page; the app's own connection
  always has to say so.
- A key in the link lets one browser in, once, and gives it a cookie. That holds on this machine
  too: others may have an account on it.
"""

import ipaddress
import re
import secrets
import socket
from collections.abc import Iterable

KEY = "key"
_LOOPBACK = frozenset({"localhost", "127.0.0.1", "::1"})
_AUTHORITY = re.compile(
    r"(?:\[(?P<six>[0-9a-fA-F:.]+)\]|(?P<name>[^\[\]:@/]+))(?::(?P<port>\d{1,5}))?"
)
"""Host and port as RFC 9110 writes them, IPv6 in brackets."""


def is_loopback(host: str) -> bool:
    """Whether only this machine can reach it there."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def own_names(host: str) -> frozenset[str]:
    """The names under which a browser may ask for what is served at `host`."""
    if is_loopback(host):
        return _LOOPBACK | {host}
    try:
        everywhere = ipaddress.ip_address(host).is_unspecified
    except ValueError:
        everywhere = False
    if not everywhere:
        return frozenset({host.casefold()})
    name = socket.gethostname().casefold()
    return _LOOPBACK | {name, f"{name}.local"} | set(_addresses())


def _addresses() -> Iterable[str]:
    """This machine's addresses, as far as the system tells them."""
    try:
        told = socket.getaddrinfo(socket.gethostname(), None)
    except OSError:
        told = []
    yield from (str(entry[4][0]) for entry in told)
    for family, elsewhere in ((socket.AF_INET, "192.0.2.1"), (socket.AF_INET6, "2001:db8::1")):
        # Nothing is sent: connecting a datagram socket only picks the way out (the addresses are
        # those kept for documentation, RFC 5737 and RFC 3849).
        try:
            with socket.socket(family, socket.SOCK_DGRAM) as probe:
                probe.connect((elsewhere, 9))
                yield str(probe.getsockname()[0])
        except OSError:
            continue


def reachable(host: str) -> str:
    """A name for the link: the host, or this machine's own address where it serves everywhere."""
    if is_loopback(host) or host in own_names(host):
        return host
    found = [name for name in _addresses() if not is_loopback(name)]
    return found[0] if found else socket.gethostname()


def _url(host: str, port: int) -> str:
    return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"


def _name_of(authority: str, port: int) -> str | None:
    """The host out of a Host header; None where there is none or its port is not ours."""
    found = _AUTHORITY.fullmatch(authority)
    if not found or int(found["port"] or 80) != port:
        return None
    return (found["six"] or found["name"]).casefold()


class Door:
    """Who comes in. Pure but for its secrets."""

    def __init__(self, host: str, port: int) -> None:
        self.host, self.port = host, port
        self.names = own_names(host)
        self.cookie = f"spokenrow-{port}"
        """The cookie's name. Browsers keep cookies by host alone, whatever the port."""
        self.key = secrets.token_urlsafe(24)
        """What the link must carry; used up by the first who brings it."""
        self._cookies: set[str] = set()

    @property
    def link(self) -> str:
        """Where to go."""
        return f"{_url(reachable(self.host), self.port)}?{KEY}={self.key}"

    def stranger(self, host: str, origin: str | None, *, must_say: bool) -> str:
        """Why a request is turned away by its headers; empty where it is not."""
        if _name_of(host, self.port) not in self.names:
            return "This address is not one of this machine's: use the link that spokenrow printed."
        if origin is None:
            return "The page must say where it comes from." if must_say else ""
        return "" if origin == f"http://{host}" else "Another page may not come in here."

    def let_in(self, key: str) -> str | None:
        """A cookie for whoever brings the key, and a new key for the next; None for a wrong one."""
        if not _same(key, self.key):
            return None
        self.key = secrets.token_urlsafe(24)
        cookie = secrets.token_urlsafe(32)
        self._cookies.add(cookie)
        return cookie

    def knows(self, cookie: str) -> bool:
        """Whether it was let in before."""
        return any(_same(cookie, known) for known in self._cookies)


def _same(given: str, kept: str) -> bool:
    """Compared in a time that tells nothing; what is given may be any text."""
    return secrets.compare_digest(given.encode("utf-8", "replace"), kept.encode())
