import pytest

from engine.base.plural import noun, some


@pytest.mark.parametrize(
    ("count", "told"), [(0, "0 rows"), (1, "1 row"), (2, "2 rows"), (11, "11 rows")]
)
def test_a_number_with_its_noun(count, told):
    assert some(count, "row") == told
    assert told.endswith(noun(count, "row"))


def test_a_noun_that_does_not_add_an_s():
    assert [some(n, "try", "tries") for n in (1, 2)] == ["1 try", "2 tries"]
