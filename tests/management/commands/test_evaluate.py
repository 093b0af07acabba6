"""The evaluate command: in small, over a clinic's past, and the table that it writes."""

import io
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from access.measures import Refused, operating
from tests.records.bedside import Bedside, ago


def said(**options: object) -> str:
    """What the command prints."""
    out = io.StringIO()
    call_command("evaluate", stdout=out, **options)
    return out.getvalue()


def test_one_small_cohort_is_printed_and_drawn(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = said(accesses=60, seeds=[1], cohort="A", judged=0, figures=tmp_path)
    assert "Cohort A" in text and "Cohort B" not in text
    assert "After an intervention" in text and "no patient data" in text
    assert sorted(file.name for file in tmp_path.iterdir()) == ["coverage.svg", "delay-A.svg", "reliability.svg"]
    assert "Cohort A: flow trend, shipped ..." in capsys.readouterr().out


@pytest.mark.parametrize("text", ["49", "-1", "many"])
def test_too_few_accesses_are_refused(text: str) -> None:
    with pytest.raises(CommandError):
        call_command("evaluate", "--accesses", text)


@pytest.mark.django_db
def test_a_clinics_past_is_printed_by_chart_number() -> None:
    north = Bedside()
    access = north.access(north.patient("Edda Ilves"))
    north.flow(access, at=ago(40), ml_min=1000)
    north.event(access, on=ago(5).date(), what="clotted")
    text = said(clinic="North")
    assert access.patient.chart_number in text and "clotted" in text and "Edda" not in text


@pytest.mark.django_db
def test_a_clinic_that_is_not_there_is_said() -> None:
    with pytest.raises(CommandError, match="There is no clinic “East”"):
        said(clinic="East")


def test_the_table_is_written_where_the_program_reads_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "operating.toml"
    monkeypatch.setattr(operating, "FILE", file)

    def written(say: object) -> str:
        return "a table\n"

    monkeypatch.setattr("access.practice.cohorts.operating_table.written", written)
    said(write_table=True)
    assert file.read_text() == "a table\n"
    assert "Tests hold it to the parameters" in capsys.readouterr().out


def test_a_table_that_belongs_to_other_parameters_is_said_and_nothing_else(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(*parts: object, **more: object) -> None:
        raise Refused(operating.OTHER_PARAMETERS)

    monkeypatch.setattr("access.practice.evaluation.simulated.evaluated", refused)
    with pytest.raises(CommandError, match="make it anew with evaluate --write-table"):
        said(accesses=60, seeds=[1], cohort="A", judged=0)
