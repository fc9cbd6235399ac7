"""The list of a site's files."""

from pathlib import Path

from site_demo.inventory import build_name, inventory

# SHA-256 of the three letters "abc": FIPS 180-4, example of SHA-256.
ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_every_file_is_listed_by_its_path(tmp_path: Path) -> None:
    """Those in folders too, in one order everywhere."""
    (tmp_path / "b").mkdir()
    (tmp_path / "b" / "x").write_bytes(b"abc")
    (tmp_path / "a").write_bytes(b"")
    found = inventory(tmp_path)
    assert list(found) == ["a", "b/x"]
    assert found["b/x"] == ABC


def test_a_build_is_named_by_all_its_files() -> None:
    """A changed, renamed or missing file makes another name; the order does not."""
    files = {"a": "1", "b": "2"}
    others = [{"a": "1"}, {"a": "1", "c": "2"}, {"a": "1", "b": "3"}]
    assert build_name(dict(reversed(files.items()))) == build_name(files)
    assert len({build_name(each) for each in [files, *others]}) == 4
