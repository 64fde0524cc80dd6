"""What is kept in a file is what would be made; it is made once, and anew when anything has changed."""

from pathlib import Path

import pytest

from tests import kept, snapshot
from tests.kept import SPARES, _kept, _made_from, _with_imports
from tests.kits import conftest
from tests.kits.exchange.demonstration import made_apart, world

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


def test_what_it_is_made_from_reaches_as_far_as_the_imports_among_the_tests():
    found = _with_imports(Path(conftest.__file__), set())
    assert {Path(snapshot.__file__), Path(world.__file__), Path(made_apart.__file__)} <= found
    assert Path(__file__) not in found


def test_a_change_of_code_data_or_maker_is_another_state(tmp_path, monkeypatch):
    for folder in ("kits", "vehicles", "tests"):
        (tmp_path / folder).mkdir()
    code, data, maker = (
        tmp_path / "kits/code.py",
        tmp_path / "vehicles/data.json",
        tmp_path / "tests/maker.py",
    )
    lock = tmp_path / "requirements-dev.txt"
    for file in (code, data, maker, lock):
        file.write_text("1")
    monkeypatch.setattr(kept, "ROOT", tmp_path)
    states = set()
    for changed in (None, code, data, maker, lock):
        if changed:
            changed.write_text("2")
        kept._apps.cache_clear()
        states.add(_made_from(str(maker)))
    kept._apps.cache_clear()
    assert len(states) == 5
