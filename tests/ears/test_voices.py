"""Fetching a voice, from a server of the test's own on the loopback interface and nowhere else."""

import http.server
import io
import threading
import zipfile
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

import pytest

from counter.commandline import main
from engine.base.refusal import Refusal
from engine.ears import download, voices
from engine.ears.voices import VoiceModel, fetch


def a_model(extra: int = 300_000) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as made:
        made.writestr("small/am/final.mdl", b"model")
        made.writestr("small/conf/model.conf", b"--x=1\n")
        made.writestr("small/graph/words.txt", bytes(n % 251 for n in range(extra)))
    return buffer.getvalue()


MODEL = a_model()


class Server(http.server.ThreadingHTTPServer):
    """Serves one file and misbehaves as it is told."""

    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), Handler)
        self.content = MODEL
        self.breaks_after: int | None = None
        self.ranges = True
        self.status = 0
        self.asked: list[str | None] = []
        self.kind = "application/zip"
        self.page = b""
        """A page that is given instead, as by a network that wants a sign-in."""
        self.redirect = ""
        self.pause_s = 0.0
        """Seconds before each byte of the head and each piece of the body."""
        self.piece = 2**20
        self.length = True
        self.over = threading.Event()
        self.range_of: int | None = None

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.server_address[1]}/small.zip"


class Handler(http.server.BaseHTTPRequestHandler):
    server: Server

    def log_message(self, *_: object) -> None:
        """Quiet."""

    def do_GET(self) -> None:
        server = self.server
        wanted = self.headers.get("Range")
        server.asked.append(wanted)
        if server.status:
            self.send_error(server.status)
            return
        if server.redirect:
            self.send_response(302)
            self.send_header("Location", server.redirect)
            self.end_headers()
            return
        if server.page:
            self.send_response(200)
            self.send_header("Content-Type", server.kind)
            if server.length:
                self.send_header("Content-Length", str(len(server.page)))
            self.end_headers()
            self.wfile.write(server.page)
            self.close_connection = True
            return
        start = int(wanted.removeprefix("bytes=").rstrip("-")) if wanted and server.ranges else 0
        self.send_response(206 if start else 200)
        if start:
            last = len(server.content) - 1
            whole = server.range_of or len(server.content)
            self.send_header("Content-Range", f"bytes {start}-{last}/{whole}")
        self.send_header("Content-Type", server.kind)
        if server.length:
            self.send_header("Content-Length", str(len(server.content) - start))
        self.end_headers()
        body = server.content[start:]
        if server.breaks_after is not None:
            body = body[: server.breaks_after]
        for at in range(0, len(body), server.piece):
            if server.pause_s:
                server.over.wait(server.pause_s)
            try:
                self.wfile.write(body[at : at + server.piece])
            except OSError:
                break  # nobody waits any more
        self.close_connection = True


@pytest.fixture
def server() -> Iterator[Server]:
    made = Server()
    thread = threading.Thread(target=made.serve_forever, args=(0.01,), daemon=True)
    thread.start()
    yield made
    made.over.set()
    made.shutdown()
    made.server_close()
    thread.join(5)


@pytest.fixture
def small(server: Server, monkeypatch: pytest.MonkeyPatch) -> VoiceModel:
    made = VoiceModel(
        name="small",
        title="A small one",
        folder="small-model",
        url=server.url,
        size=len(MODEL),
        sha256=sha256(MODEL).hexdigest(),
        licence="none",
    )
    monkeypatch.setattr(voices, "CATALOGUE", (made,))
    return made


def test_a_voice_is_fetched_with_progress(small: VoiceModel, tmp_path: Path) -> None:
    seen: list[tuple[int, int]] = []
    folder = fetch(small, tmp_path, lambda here, all_: seen.append((here, all_)))
    assert folder == tmp_path / "voices" / "small-model"
    assert voices.is_model(folder)
    assert voices.installed(tmp_path) == [folder]
    assert voices.find(tmp_path, "small") == folder
    assert seen == sorted(seen)
    assert seen[-1] == (len(MODEL), len(MODEL))
    assert [path.name for path in folder.parent.iterdir()] == ["small-model"]


def test_one_that_is_here_is_not_fetched_again(
    small: VoiceModel, server: Server, tmp_path: Path
) -> None:
    fetch(small, tmp_path)
    fetch(small, tmp_path)
    assert len(server.asked) == 1


@pytest.mark.parametrize("ranges", [True, False])
def test_it_goes_on_where_it_broke_off(
    ranges: bool, small: VoiceModel, server: Server, tmp_path: Path
) -> None:
    server.breaks_after, server.ranges = 200_000, ranges
    with pytest.raises(Refusal, match="goes on from there"):
        fetch(small, tmp_path)
    server.breaks_after = None
    assert voices.is_model(fetch(small, tmp_path))
    assert server.asked[0] is None
    assert server.asked[1] is not None
    assert server.asked[1].startswith("bytes=")


def test_another_file_is_thrown_away(small: VoiceModel, server: Server, tmp_path: Path) -> None:
    server.content = MODEL[:-1] + b"x"
    with pytest.raises(Refusal, match="not the file that its makers published"):
        fetch(small, tmp_path)
    assert list((tmp_path / "voices").iterdir()) == []
    server.content = MODEL
    assert voices.is_model(fetch(small, tmp_path))


def test_a_file_without_end_is_not_followed(
    small: VoiceModel, server: Server, tmp_path: Path
) -> None:
    server.content = MODEL + bytes(50_000_000)
    with pytest.raises(Refusal, match="not the file"):
        fetch(small, tmp_path)


@pytest.mark.parametrize(
    "junk", [b"junk" * 1000, b"<html>sign in</html>", MODEL[:9] + b"junk", b""]
)
def test_a_piece_of_something_else_spoils_no_try(
    junk: bytes, small: VoiceModel, tmp_path: Path
) -> None:
    (tmp_path / "voices").mkdir()
    (tmp_path / "voices" / "small-model.part").write_bytes(junk)
    assert voices.is_model(fetch(small, tmp_path))


PAGE = b"<!doctype html><title>Welcome to the harbour cafe</title>Sign in here"


@pytest.mark.parametrize(
    ("kind", "page", "told"),
    [
        ("text/html; charset=utf-8", PAGE, "sign in"),
        ("TEXT/HTML", PAGE, "sign in"),
        ("text/plain", b"come back later", "not the file"),
        ("application/zip", PAGE, "not the file"),
        ("", PAGE, "not the file"),
        ("application/octet-stream", PAGE * 10_000, "not the file"),
    ],
)
@pytest.mark.parametrize("length", [True, False])
def test_a_page_instead_of_the_voice_is_told_and_spoils_nothing(
    kind: str,
    page: bytes,
    told: str,
    *,
    length: bool,
    small: VoiceModel,
    server: Server,
    tmp_path: Path,
) -> None:
    server.breaks_after = 200_000
    with pytest.raises(Refusal, match="goes on from there"):
        fetch(small, tmp_path)
    part = tmp_path / "voices" / "small-model.part"
    kept = part.read_bytes()
    server.kind, server.page, server.length = kind, page, length
    with pytest.raises(Refusal, match=told):
        fetch(small, tmp_path)
    assert not part.exists() or part.read_bytes() == kept
    part.unlink(missing_ok=True)
    with pytest.raises(Refusal, match=told):
        fetch(small, tmp_path)
    assert not part.exists()
    server.page, server.kind, server.breaks_after = b"", "application/zip", None
    assert voices.is_model(fetch(small, tmp_path))


def test_the_rest_of_another_file_is_not_taken(
    small: VoiceModel, server: Server, tmp_path: Path
) -> None:
    server.breaks_after = 200_000
    with pytest.raises(Refusal, match="goes on from there"):
        fetch(small, tmp_path)
    server.breaks_after, server.range_of = None, 77
    with pytest.raises(Refusal, match="another file"):
        fetch(small, tmp_path)
    server.range_of = None
    assert voices.is_model(fetch(small, tmp_path))


def test_a_circle_of_redirects_is_told(small: VoiceModel, server: Server, tmp_path: Path) -> None:
    server.redirect = server.url
    with pytest.raises(Refusal, match="from one address to the next"):
        fetch(small, tmp_path)
    assert len(server.asked) == download.REDIRECTS + 1
    assert list((tmp_path / "voices").iterdir()) == []


def test_a_connection_that_ends_before_the_first_byte_is_told(
    small: VoiceModel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(download, "_answer", lambda *_: iter([download._Begun(0)]))
    with pytest.raises(Refusal, match="broke off with"):
        fetch(small, tmp_path)


def test_a_server_that_stops_in_the_middle_is_told(
    small: VoiceModel, server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(download, "SILENT_S", 0.5)
    server.piece = 250_000
    server.pause_s = 30.0
    with pytest.raises(Refusal, match=r"not answered|sent nothing|broke off"):
        fetch(small, tmp_path)
    server.pause_s = 0.0
    assert voices.is_model(fetch(small, tmp_path))


def test_a_server_that_drips_is_given_up_in_time_and_gone_on_with(
    small: VoiceModel, server: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A byte now and then keeps every single wait short: only the whole is too long."""
    monkeypatch.setattr(download, "SILENT_S", 5.0)
    monkeypatch.setattr(download, "LONGEST_S", 1.0)
    server.piece, server.pause_s = 1, 0.05
    with pytest.raises(Refusal, match="too slow: after 1 seconds"):
        fetch(small, tmp_path)
    server.piece, server.pause_s = 2**20, 0.0
    assert voices.is_model(fetch(small, tmp_path))


def test_a_name_that_is_never_found_holds_nobody_up(
    small: VoiceModel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def hang(*_: object, **__: object) -> None:
        threading.Event().wait(20)

    monkeypatch.setattr(download, "SILENT_S", 0.3)
    monkeypatch.setattr("socket.getaddrinfo", hang)
    with pytest.raises(Refusal, match="sent nothing"):
        fetch(small, tmp_path)


@pytest.mark.parametrize("status", [404, 403, 500, 503])
def test_a_server_that_refuses_is_told(
    status: int, small: VoiceModel, server: Server, tmp_path: Path
) -> None:
    server.status = status
    with pytest.raises(Refusal, match=str(status)):
        fetch(small, tmp_path)


def test_no_network_is_a_sentence(
    small: VoiceModel, server: Server, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    server.shutdown()
    server.server_close()
    assert main(["--data", str(tmp_path), "voices", "fetch", "small"]) == 2
    err = capsys.readouterr().err
    assert "There is no way to 127.0.0.1" in err
    assert "Traceback" not in err


def test_a_folder_in_the_way_is_not_touched(small: VoiceModel, tmp_path: Path) -> None:
    mine = tmp_path / "voices" / "small-model" / "mine.txt"
    mine.parent.mkdir(parents=True)
    mine.write_text("mine")
    with pytest.raises(Refusal, match="move it away"):
        fetch(small, tmp_path)
    assert mine.read_text() == "mine"


def test_the_command_lists_and_fetches(
    small: VoiceModel, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["--data", str(tmp_path), "voices"]) == 0
    assert "A small one" in capsys.readouterr().out
    assert main(["--data", str(tmp_path), "voices", "fetch", "small"]) == 0
    assert str(tmp_path / "voices" / "small-model") in capsys.readouterr().out
    assert main(["--data", str(tmp_path), "voices"]) == 0
    assert "To fetch" not in capsys.readouterr().out
    assert main(["--data", str(tmp_path), "voices", "fetch", "klingon"]) == 2
    assert "there are: small" in capsys.readouterr().err


def test_what_can_be_fetched_is_pinned_and_comes_by_https() -> None:
    for known in voices.CATALOGUE:
        assert known.url.startswith("https://alphacephei.com/vosk/models/")
        assert len(bytes.fromhex(known.sha256)) == 32
        assert known.size < 2**26
