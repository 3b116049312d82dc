"""The command that makes the demo farm: the committed files, and the truth only when asked for."""

from pathlib import Path

from django.core.management import call_command

DEMO = Path(__file__).resolve().parents[4] / "fixtures" / "demo"


def files(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_it_makes_the_committed_files_again(tmp_path, capsys):
    call_command("make_demo", tmp_path / "demo", truth=tmp_path / "truth")
    committed = files(DEMO)
    committed.pop("README.md")
    assert files(tmp_path / "demo") == committed
    assert sorted(files(tmp_path / "truth")) == ["true_demand.csv", "true_growth.csv", "true_to_come.csv"]
    written = capsys.readouterr()
    assert written.out == ""
    assert written.err.startswith("24 files written into ")
