"""The systems and Pythons that the README names, as a resolver and as PEP 508 call them."""

from typing import NamedTuple

PYTHONS = ("3.11", "3.12", "3.13", "3.14")


class System(NamedTuple):
    """One system: its name to uv, and the markers of PEP 508 that it answers with."""

    triple: str
    markers: dict[str, str]


def _markers(platform: str, name: str, os: str, machine: str) -> dict[str, str]:
    return {
        "sys_platform": platform,
        "platform_system": name,
        "os_name": os,
        "platform_machine": machine,
        "implementation_name": "cpython",
        "platform_python_implementation": "CPython",
    }


SYSTEMS = {
    "Linux": System("x86_64-manylinux_2_28", _markers("linux", "Linux", "posix", "x86_64")),
    "Linux, ARM": System("aarch64-manylinux_2_28", _markers("linux", "Linux", "posix", "aarch64")),
    "macOS": System("aarch64-apple-darwin", _markers("darwin", "Darwin", "posix", "arm64")),
    "macOS, Intel": System("x86_64-apple-darwin", _markers("darwin", "Darwin", "posix", "x86_64")),
    "Windows": System("x86_64-pc-windows-msvc", _markers("win32", "Windows", "nt", "AMD64")),
}


def environment(system: str, python: str) -> dict[str, str]:
    """All markers of a system with a Python, for packaging.markers."""
    return {
        **SYSTEMS[system].markers,
        "python_version": python,
        "python_full_version": f"{python}.0",
        "extra": "",
    }
