"""`spokenrow change`: what it means first, then the change, and nothing without a yes."""

from counter.commandline import main
from engine.keep.store import Store
from engine.make import progress


def test_it_says_what_it_means_and_wants_a_yes(tmp_path, capsys):
    def run(*words, code=0):
        assert main(["--data", str(tmp_path), *words]) == code
        told = capsys.readouterr()
        return told.out + told.err

    def plan():
        with Store(tmp_path / "makes.db") as store:
            return progress.fold(*store.load("throw")).plan

    run("start", "throw", "--width", "40", "--height", "32")
    assert "add --yes" in run("change", "throw", "--gauge", "6 x 4", code=2)
    assert plan().gauge.loops_per_10cm == 5
    told = run("change", "throw", "--gauge", "6 x 4", "--height", "20 in", "--yes")
    assert "Throw: 20 rows, was 12; 24 loops, was 20" in told
    assert "What is worked stays." in told
    assert (plan().gauge.loops_per_10cm, plan().measures["height"]) == (6, 50.8)
    assert "out of bounds" in run("change", "throw", "--height", "9999", code=2)
    assert "still to come would change" in run("change", "throw", "--gauge", "6 x 4", code=2)
    assert "Give --gauge" in run("change", "throw", code=2)
    assert "has no sizes" in run("change", "throw", "--size", "L", code=2)
