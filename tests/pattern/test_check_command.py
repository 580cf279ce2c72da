"""`spokenrow check` and `resize`: exit codes, one sentence for every mistake, and their JSON."""

import json
from pathlib import Path

import pytest

from counter.commandline import main
from counter.shared.written import pattern_text
from engine.base.refusal import Refusal
from engine.pattern.check import check_pattern

SOUND = "Gauge: 5 x 4\nCast on 8 loops.\nRow 1: knit.\nBind off all.\n"
CORPUS = Path(__file__).parent / "corpus"


def file_of(folder: Path, text: str) -> str:
    path = folder / "trial.txt"
    path.write_text(text, encoding="utf-8")
    return str(path)


def test_a_single_row_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    row = "K3, *P1, K9; rep from * to last 8 sts, P1, K7"
    assert main(["check", "--row", row, "--on", "71", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told == {"on": 71, "takes": 71, "leaves": 71, "faults": []}
    assert main(["check", "--row", row, "--on", "73", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert told["takes"] == 71
    assert "the repeat of 10 leaves 2 over" in told["faults"][0]["text"]


def test_exit_codes_of_a_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", file_of(tmp_path, SOUND)]) == 0
    assert "sound; 1 row," in capsys.readouterr().out
    assert main(["check", file_of(tmp_path, SOUND.replace("knit", "k7"))]) == 1
    assert "trial.txt:3:8: piece, row 1: needs 7 loops, 8 are there" in capsys.readouterr().out
    assert main(["check", file_of(tmp_path, SOUND.replace("knit", "nkit")), "--json"]) == 2
    told = json.loads(capsys.readouterr().out)
    assert not told["sound"]
    assert told["faults"][0]["severity"] == "unread"


def test_json_of_a_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(CORPUS / "vest.txt"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["sizes"] == ["S", "M", "L"]
    assert told["faults"] == told["warnings"] == []
    assert [c["rows"] for c in told["counts"]] == [36, 36, 38]


@pytest.mark.parametrize(
    "given",
    [
        ["check"],
        ["check", "nowhere.txt"],
        ["check", "--row", "k3"],
        ["check", "--row", "k3", "--on", "5001"],
        ["check", "--row", "blah", "--on", "3"],
        ["check", "--row", "k3 (4)", "--on", "3"],
        ["check", str(CORPUS), "--row", "k3", "--on", "3"],
        ["check", str(CORPUS)],
        ["resize", "nowhere.txt", "--gauge", "5 x 4"],
        ["resize", str(CORPUS / "scarf.txt"), "--gauge", "five"],
        ["rows", str(CORPUS / "vest.txt"), "--size", "XXL"],
    ],
)
def test_mistakes_end_in_one_sentence(given: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert main(given) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert len(told.err.strip().splitlines()) == 1
    assert "Traceback" not in told.err


@pytest.mark.parametrize("content", [b"\xff\xfe\x00", b"", b"\x00" * 100, b"x" * 1_000_001])
def test_files_that_are_no_text(
    content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "odd.txt"
    path.write_bytes(content)
    assert main(["check", str(path)]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_a_pattern_file_is_taken_where_a_design_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["rows", str(CORPUS / "vest.txt"), "--size", "L", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["size"] == "L"
    assert sum(s["kind"] in {"row", "round"} for s in told["steps"]) == 38
    data = ["--data", str(tmp_path)]
    assert main([*data, "start", str(CORPUS / "cowl.txt"), "--size", "long"]) == 0
    assert "1298 loops" in capsys.readouterr().out


def test_resize_prints_its_changes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "resized.txt"
    cap = str(CORPUS / "ribbed_cap.txt")
    assert main(["resize", cap, "--gauge", "20 x 26", "-o", str(out)]) == 0
    told = capsys.readouterr().out
    assert "becomes" in told
    assert main(["check", str(out)]) == 0
    capsys.readouterr()
    assert main(["resize", cap, "--gauge", "20 x 26", "--keep", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["outcomes"][0]["part"] == "cap"


def test_entrelac_is_refused_in_a_sentence() -> None:
    text = (
        "Entrelac scarf\nCO 24 sts.\nBase triangles: *P2, turn, k2, turn, p3, turn, k3, turn, p4; "
        "rep from *.\n"
    )
    (line,) = [read for read in check_pattern(text).lines if read.taken_as == "unread"]
    assert line.why.startswith("entrelac")
    assert "short rows on a line" in line.why


def test_a_damaged_pdf_is_told_in_one_sentence_of_ours(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    file = tmp_path / "torn.pdf"
    file.write_bytes(b"%PDF-1.4\n" + bytes(range(256)) * 8)
    with pytest.raises(Refusal, match=r"is a damaged PDF: open it in a program that shows it"):
        pattern_text(file)
    assert not caplog.records  # the library that reads them tells nothing of its own
