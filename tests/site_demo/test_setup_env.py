"""What the set-up does on machines that lack something."""

import sys
from pathlib import Path

import pytest

from site_demo import setup_env
from site_demo.setup_env import SetupError


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A virtual environment of the test's own, and a machine where nobody is root."""
    venv = tmp_path / "venv"
    monkeypatch.setattr(setup_env, "VENV", venv)
    monkeypatch.setattr(setup_env, "may_install_system_packages", lambda: False)
    return venv


def test_a_venv_is_made_without_ensurepip(elsewhere: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    pip = setup_env.make_venv(elsewhere)
    assert (elsewhere / "bin" / "python").exists()
    assert not list(elsewhere.glob("lib/python*/site-packages/pip"))
    # Somebody else's pip, told to fill this environment.
    assert elsewhere / "bin" / "python" in pip
    assert setup_env.answers([*pip, "--version"])


def test_a_machine_without_any_pip_is_told_the_command(elsewhere: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    monkeypatch.setattr(setup_env, "pip_command", lambda _: None)
    with pytest.raises(SetupError, match="Run `sudo apt-get install python3-venv`, then try again"):
        setup_env.make_venv(elsewhere)


def test_a_failed_command_is_shown_with_its_words_and_the_remedy() -> None:
    with pytest.raises(SetupError) as failure:
        setup_env.run([sys.executable, "-c", "raise SystemExit('its own words')"], "Do this.")
    assert "its own words" in str(failure.value)
    assert str(failure.value).endswith("failed. Do this.")


def test_an_unknown_group_is_named(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(sys, "argv", ["setup_env", "sites"])
    with pytest.raises(SystemExit) as stop:
        setup_env.main()
    assert stop.value.code == 2
    assert "no group sites; there are site, node, tests, checks, release, lock, soak, mutants" in capsys.readouterr().err


def test_an_old_python_is_told_how_to_name_a_newer_one(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "argv", ["setup_env", "site"])
    monkeypatch.setattr(setup_env, "OLDEST_PYTHON", (99, 0))
    assert setup_env.main() == 1
    assert "make demo PYTHON=" in capsys.readouterr().err


def test_a_group_apart_has_a_virtual_environment_of_its_own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[tuple[str, Path | None]] = []
    monkeypatch.setattr(setup_env, "WORK", tmp_path)
    monkeypatch.setattr(setup_env, "install_group", lambda group, venv=None: asked.append((group, venv)))
    commands = {group: setup_env.install_apart(group) for group in setup_env.APART}
    assert len(set(commands.values())) == len(setup_env.APART)
    assert asked == [(group, commands[group].parent) for group in setup_env.APART]
    assert not {venv for _, venv in asked} & {None, setup_env.VENV}
    assert not set(setup_env.APART) & set(setup_env.GROUPS)
