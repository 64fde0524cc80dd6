"""What is kept in a file is what would be made; it is made once, and anew when anything has changed."""

import pytest

from tests.kept import SPARES, _kept

CODE, OTHER = "state-of-the-code", "another-state"


def test_it_is_made_once_and_then_read(tmp_path):
    made = iter([{"cars": (1, 2)}])
    first = _kept(tmp_path, "cars", CODE, lambda: next(made))
    again = _kept(tmp_path, "cars", CODE, lambda: next(made))
    assert first == again == {"cars": (1, 2)}
    assert again is not first


def test_another_state_of_the_code_makes_it_anew(tmp_path):
    assert _kept(tmp_path, "cars", CODE, lambda: 1) == 1
    assert _kept(tmp_path, "cars", OTHER, lambda: 2) == 2
    assert _kept(tmp_path, "vans", CODE, lambda: 3) == 3
    assert _kept(tmp_path, "cars", CODE, lambda: 4) == 1


def test_what_could_not_be_made_is_not_kept(tmp_path):
    with pytest.raises(ZeroDivisionError):
        _kept(tmp_path, "cars", CODE, lambda: 1 // 0)
    assert _kept(tmp_path, "cars", CODE, lambda: 5) == 5


def test_old_files_do_not_pile_up(tmp_path):
    for state in range(SPARES + 5):
        _kept(tmp_path, "cars", f"state-{state}", lambda: 0)
    assert len([*tmp_path.glob("cars.state-*")]) == SPARES + 1
