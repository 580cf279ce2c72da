"""Have the kernel refuse some calls to this process and its children, for good.

A seccomp filter (`man 2 seccomp`): classic BPF over the call's number and arguments. Linux on
x86-64 and arm64; needs no rights.
"""

import ctypes
import errno
import platform
import struct
import sys

_NUMBERS = {
    "x86_64": {"arch": 0xC000003E, "fcntl": 72, "socket": 41},
    "aarch64": {"arch": 0xC00000B7, "fcntl": 25, "socket": 198},
}
_ALLOW, _ERRNO, _KILL = 0x7FFF0000, 0x00050000, 0x80000000
_LOAD, _EQUAL, _RETURN = 0x20, 0x15, 0x06
_PR_SET_NO_NEW_PRIVS, _PR_SET_SECCOMP, _MODE_FILTER = 38, 22, 2
_ARGUMENT = (16, 24)
"""Where the first two arguments lie in what the filter sees."""

LOCKS = ("fcntl", 1, (5, 6, 7, 36, 37, 38), errno.ENOLCK)
"""F_GETLK, F_SETLK, F_SETLKW and their open-file kin: as on a drive without a lock service."""
NETWORK = ("socket", 0, (2, 10, 16, 17), errno.EPERM)
"""AF_INET, AF_INET6, AF_NETLINK, AF_PACKET. Local sockets are how sound servers are reached."""

SUPPORTED = sys.platform == "linux" and platform.machine() in _NUMBERS


def refuse(call: str, argument: int, values: tuple[int, ...], error: int) -> None:
    """From now on, `call` with one of `values` as its argument fails with `error`."""
    _filter(call, argument, values, _ERRNO | error)


def end_at(call: str, argument: int, values: tuple[int, ...], _error: int) -> None:
    """From now on, `call` with one of `values` as its argument ends the process."""
    _filter(call, argument, values, _KILL)


def _filter(call: str, argument: int, values: tuple[int, ...], verdict: int) -> None:
    numbers = _NUMBERS[platform.machine()]
    code = [(_LOAD, 0, 0, 4), (_EQUAL, 1, 0, numbers["arch"]), (_RETURN, 0, 0, _ALLOW)]
    code += [(_LOAD, 0, 0, 0), (_EQUAL, 1, 0, numbers[call]), (_RETURN, 0, 0, _ALLOW)]
    code += [(_LOAD, 0, 0, _ARGUMENT[argument])]
    code += [(_EQUAL, len(values) - n, 0, value) for n, value in enumerate(values)]
    code += [(_RETURN, 0, 0, _ALLOW), (_RETURN, 0, 0, verdict)]
    program = b"".join(struct.pack("HBBI", *line) for line in code)
    buffer = ctypes.create_string_buffer(program)
    header = ctypes.create_string_buffer(struct.pack("HP", len(code), ctypes.addressof(buffer)))
    libc = ctypes.CDLL(None, use_errno=True)
    libc.prctl.argtypes = [ctypes.c_int, *[ctypes.c_ulong] * 4]
    for given in (
        (_PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0),
        (_PR_SET_SECCOMP, _MODE_FILTER, ctypes.addressof(header), 0, 0),
    ):
        if libc.prctl(*given) != 0:
            raise OSError(ctypes.get_errno(), "the filter was not taken")
