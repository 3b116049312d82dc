"""Talking with a process that has records of its own."""

import pytest

from farmops.proving.speed.talking import Talk, WorkerFailed, environment


def test_what_cannot_be_done_is_said_and_the_process_goes_on(tmp_path):
    with Talk(tmp_path) as talk:
        for _again in range(2):
            with pytest.raises(WorkerFailed, match="AttributeError"):
                talk.ask("fly")
    assert (tmp_path / "secret-key").exists()
    with pytest.raises((WorkerFailed, ValueError)):
        talk.ask("fly")


def test_its_records_are_its_own(tmp_path, monkeypatch):
    monkeypatch.setenv("DATABASE_URL", "postgres://elsewhere")
    monkeypatch.setenv("FARMOPS_DEMO", "1")
    found = environment(tmp_path)
    assert found["FARMOPS_DATA"] == str(tmp_path)
    assert not {"DATABASE_URL", "FARMOPS_DEMO"} & set(found)
