"""A slow step runs again when, and only when, what it was made from has changed."""

from pathlib import Path

from site_demo.stamps import digest, files_under, is_fresh, mark


def test_a_digest_changes_with_content_name_and_text(tmp_path: Path) -> None:
    one, other = tmp_path / "one", tmp_path / "other"
    one.write_text("a")
    other.write_text("a")
    seen = {digest([one]), digest([other]), digest([one, other]), digest([one], "a"), digest([one], "a", "b")}
    one.write_text("b")
    seen.add(digest([one]))
    assert len(seen) == 6


def test_a_digest_does_not_depend_on_the_order_of_files(tmp_path: Path) -> None:
    files = [tmp_path / name for name in "abc"]
    for file in files:
        file.write_text(file.name)
    assert digest(files) == digest(reversed(files))


def test_a_stamp_is_fresh_for_what_it_was_marked_with(tmp_path: Path) -> None:
    stamp = tmp_path / "stamps" / "step"
    assert not is_fresh(stamp, "x")
    mark(stamp, "x")
    assert is_fresh(stamp, "x")
    assert not is_fresh(stamp, "y")


def test_files_under_passes_over_compiled_python(tmp_path: Path) -> None:
    for path in ("b.py", "a/c.py", "a/__pycache__/c.pyc", "a/d.json"):
        (tmp_path / path).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / path).touch()
    assert files_under(tmp_path) == [tmp_path / "a/c.py", tmp_path / "a/d.json", tmp_path / "b.py"]
    assert files_under(tmp_path, ".json") == [tmp_path / "a/d.json"]
