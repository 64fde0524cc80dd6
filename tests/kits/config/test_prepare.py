"""The look at the machine: each thing that is wrong is one plain sentence."""

import socket

import pytest

from kits.config import prepare

DECLARED = '[project]\nrequires-python = ">=3.7,<3.10"\ndependencies = []\n'


@pytest.mark.parametrize("version", [(3, 7), (3, 9)])
def test_a_python_that_the_project_declares_will_do(version):
    assert prepare.python_problem(version, DECLARED) == ""


@pytest.mark.parametrize("version", [(2, 7), (3, 6), (3, 10), (4, 0)])
def test_another_python_is_named_and_so_is_what_is_needed(version):
    assert prepare.python_problem(version, DECLARED) == (
        f"Kitwright needs Python 3.7 to 3.9 and this is {version[0]}.{version[1]}; "
        "name another with: make run PYTHON=python3.7"
    )


def test_a_project_that_declares_no_python_is_said_so():
    assert "doesn't say" in prepare.python_problem((3, 12), "[project]\n")


def test_a_port_in_use_is_named():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        assert prepare.port_problem(port).startswith(f"Port {port} is in use")
    assert prepare.port_problem(port) == ""


@pytest.mark.parametrize("port", ["", "eight", "0", "70000", "-1"])
def test_what_is_no_port_is_named(port):
    assert "is not a port" in prepare.port_problem(port)


def test_a_file_in_the_way_is_named(tmp_path):
    assert prepare.write_problem(str(tmp_path)) == ""
    (tmp_path / "var").write_text("")
    assert "is in the way" in prepare.write_problem(str(tmp_path))


def test_a_folder_that_may_not_be_written_is_named(tmp_path, monkeypatch):
    # The administrator may write anywhere, so the system's answer is replaced, not its rights.
    monkeypatch.setattr("os.access", lambda path, mode: False)
    assert prepare.write_problem(str(tmp_path)).startswith(f"No permission to write in {tmp_path}")


def test_a_missing_library_gives_the_line_to_type(monkeypatch):
    monkeypatch.setattr(prepare, "loads", lambda *names: False)
    sentence = prepare.libraries_problem(is_root=False)
    assert sentence.endswith(
        "sudo apt-get install -y --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
    )


def test_only_the_library_for_speed_missing_is_no_problem(monkeypatch, capsys):
    monkeypatch.setattr(prepare, "loads", lambda *names: "harfbuzz" not in names[0])
    assert prepare.libraries_problem(is_root=False) == ""
    assert "libharfbuzz-subset0" in capsys.readouterr().out


def test_the_administrator_gets_them_installed(monkeypatch, capsys):
    ran: list[list[str]] = []

    def call(command: list[str], **_: object) -> int:
        ran.append(command)
        return 0

    monkeypatch.setattr(prepare, "loads", lambda *names: bool(ran))
    monkeypatch.setattr("shutil.which", lambda name: "/usr/bin/apt-get")
    monkeypatch.setattr("subprocess.call", call)
    assert prepare.libraries_problem(is_root=True) == ""
    assert [command[:2] for command in ran] == [["apt-get", "update"], ["apt-get", "install"]]
    assert "libpango-1.0-0" in ran[1]


def test_a_library_that_is_nowhere_does_not_load():
    assert not prepare.loads("libthere-is-no-such.so.0", "there-is-no-such")


def test_the_first_problem_is_printed_alone(monkeypatch, capsys):
    monkeypatch.setattr(prepare, "libraries_problem", lambda is_root: "")
    assert prepare.main(["--port", "eight"]) == 1
    assert len(capsys.readouterr().out.splitlines()) == 1
    assert prepare.main([]) == 0


def test_a_python_that_will_not_do_is_told_by_the_project_itself(monkeypatch, capsys):
    monkeypatch.setattr("sys.version_info", (3, 2, 0))
    assert prepare.main([]) == 1
    assert "this is 3.2;" in capsys.readouterr().out
