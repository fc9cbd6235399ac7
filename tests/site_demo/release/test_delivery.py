"""Sizes and times of sending."""

from pathlib import Path

from site_demo.measured import Figure, Report, reports
from site_demo.release.delivery import COMMAND, MAIL, TITLE, delivery, figures, seconds


def test_a_line_of_256_kbit_per_second_takes_five_minutes_for_ten_megabytes() -> None:
    assert round(seconds(10e6, 256)) == 312  # 80 000 000 bit / 256 000 bit/s = 312.5 s.


def test_a_mail_makes_four_letters_of_three_bytes() -> None:
    # 57 bytes make one line of 76 letters and its end.
    assert round(57 * MAIL) == 78


def test_figures_count_files_and_weigh_packages(tmp_path: Path) -> None:
    whole, update = tmp_path / "whole.zip", tmp_path / "update.zip"
    whole.write_bytes(bytes(3_200_000))
    update.write_bytes(bytes(64_000))
    found = {each.name: each.value for each in figures({"a": bytes(1_500_000), "b": bytes(500_000)}, whole, update)}
    assert found == {
        "zip_mb": 3.2, "files": 2, "unpacked_mb": 2.0, "zip_256_s": 100.0, "update_kb": 64.0, "update_256_s": 2.0,
    }  # fmt: skip
    assert "update_kb" not in {each.name for each in figures({}, whole)}


def test_the_table_is_made_from_the_kept_report() -> None:
    kept = (Figure("zip_mb", 9.6, "MB", 16.0, ""), Figure("update_kb", 1600.0, "kB", None, ""))
    table = delivery([Report(TITLE, COMMAND, "2026-11-26", "", "0.1.0", kept)]).splitlines()
    assert table[0] == "| How | the whole zip | an update package |"
    assert "| as a file | 9.6 MB | 1.6 MB |" in table
    assert "| 256 kbit/s | 5 min | 50 s |" in table
    assert "| 64 kbit/s | 20 min | 4 min |" in table


def test_without_a_report_it_says_so() -> None:
    assert COMMAND in delivery([])


def test_the_projects_own_report_makes_a_table() -> None:
    assert delivery(reports()).count("\n") > 5
