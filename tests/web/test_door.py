"""Whom the door lets in. Host headers as RFC 9110 writes them, origins as RFC 6454."""

import pytest

pytest.importorskip("textual_serve", reason="pip install 'spokenrow[browser]'")

from counter.web.door import Door, is_loopback, own_names, reachable
from counter.web.serving import app_command

HOME = Door("127.0.0.1", 8377)


@pytest.mark.parametrize(
    "host", ["127.0.0.1:8377", "localhost:8377", "LOCALHOST:8377", "[::1]:8377"]
)
def test_this_machine_is_let_in(host: str) -> None:
    assert HOME.stranger(host, None, must_say=False) == ""
    assert HOME.stranger(host, f"http://{host}", must_say=True) == ""


@pytest.mark.parametrize(
    "host",
    [
        "evil.example:8377",
        "127.0.0.1.evil.example:8377",
        "localhost",
        "localhost:80",
        "localhost:08377x",
        "192.168.1.9:8377",
        "user@localhost:8377",
        "[::1",
        ":8377",
        "",
    ],
)
def test_another_host_is_not(host: str) -> None:
    assert HOME.stranger(host, None, must_say=False)


@pytest.mark.parametrize(
    "origin",
    [
        "http://evil.example",
        "https://127.0.0.1:8377",
        "http://127.0.0.1:9999",
        "http://localhost:8377",
        "null",
        "",
    ],
)
def test_another_origin_is_not(origin: str) -> None:
    assert HOME.stranger("127.0.0.1:8377", origin, must_say=False)


def test_the_app_s_own_connection_must_say_where_it_comes_from() -> None:
    assert HOME.stranger("127.0.0.1:8377", None, must_say=True)


def test_on_this_machine_a_key_is_asked_for_too() -> None:
    assert HOME.link == f"http://127.0.0.1:8377/?key={HOME.key}"
    assert not HOME.knows("")
    assert HOME.let_in("") is None
    assert HOME.let_in("\ud800é") is None
    assert not HOME.knows("\ud800é")


def test_two_servers_on_one_machine_have_cookies_of_their_own() -> None:
    assert Door("127.0.0.1", 8377).cookie != Door("127.0.0.1", 8378).cookie


def test_a_key_lets_one_in_once() -> None:
    door = Door("192.0.2.7", 8377)
    first = door.key
    assert first in door.link
    assert len(first) >= 32  # 24 bytes from the system's generator, in base 64
    assert not door.knows("")
    assert door.let_in("wrong") is None
    assert door.let_in("") is None
    cookie = door.let_in(first)
    assert cookie
    assert door.knows(cookie)
    assert not door.knows(cookie + "x")
    assert door.let_in(first) is None
    assert door.key != first
    other = door.let_in(door.key)
    assert other != cookie
    assert door.knows(cookie)


def test_keys_differ() -> None:
    keys = {Door("192.0.2.7", 1).key for _ in range(50)}
    assert len(keys) == 50


def test_names_of_a_machine() -> None:
    assert is_loopback("127.0.0.1")
    assert is_loopback("::1")
    assert is_loopback("localhost")
    assert not is_loopback("0.0.0.0")
    assert not is_loopback("192.0.2.7")
    assert own_names("192.0.2.7") == {"192.0.2.7"}
    assert "evil.example" not in own_names("0.0.0.0")
    assert own_names("0.0.0.0") > {"localhost"}
    assert reachable("192.0.2.7") == "192.0.2.7"
    assert reachable("0.0.0.0") != "0.0.0.0"


def test_the_app_is_asked_for_with_the_same_folder(tmp_path) -> None:
    command = app_command(tmp_path, ["--make", "a b"])
    assert command[1:] == ["-m", "counter", "--data", str(tmp_path), "app", "--make", "a b"]
