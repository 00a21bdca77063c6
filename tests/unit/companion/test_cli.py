"""The command line: answers, refusals, wrong usage, and what each exits with."""

import json
from pathlib import Path

import pytest

from companion.cli import main


def test_a_look_up_answers_in_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["saturation", "R-407C", "--pressure", "68psig", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["dew_f"] == pytest.approx(43.2, abs=0.1)
    assert found["bubble_f"] == pytest.approx(32.2, abs=0.1)


def test_a_look_up_answers_in_sentences(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["refrigerant", "R-410A"]) == 0
    assert "R-410A" in capsys.readouterr().out


def test_a_refusal_exits_with_one_and_says_why(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["refrigerant", "R-744", "--json"]) == 1
    refusal = json.loads(capsys.readouterr().out)["refusal"]
    assert refusal["kind"] == "out-of-scope"
    assert "R-744" in refusal["message"]


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["rehearse", "--scenario", "none", "--json"], "liquid-orifice"),
        (["hear", "/nowhere.wav", "--expect", "suction-pressure", "--json"], "nowhere"),
    ],
)
def test_whoever_asked_for_json_gets_the_refusal_in_it(
    capsys: pytest.CaptureFixture[str], words: list[str], part: str
) -> None:
    assert main(words) == 1
    assert part in json.loads(capsys.readouterr().out)["refusal"]["message"]


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["saturation", "R-22", "--pressure", "68"], "has no unit"),
        (["saturation", "R-22", "--pressure", "68F"], "takes a pressure"),
        (["saturation", "R-22"], "--pressure"),
    ],
)
def test_wrong_usage_exits_with_two(
    capsys: pytest.CaptureFixture[str], words: list[str], part: str
) -> None:
    assert main(words) == 2
    assert part in capsys.readouterr().err


def test_an_unknown_command_is_wrong_usage(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(["charge"])
    assert left.value.code == 2
    assert "charge" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (["rehearse", "--scenario", "none"], "liquid-orifice"),
        (["run", "--typed", "--settings", "/nowhere.toml"], "/nowhere.toml"),
        (["report", "--job", "/nowhere"], "/nowhere"),
        (["hear", "/nowhere.wav", "--expect", "colour"], "suction-pressure"),
    ],
)
def test_trouble_is_one_line_that_says_where(
    capsys: pytest.CaptureFixture[str], words: list[str], part: str
) -> None:
    assert main(words) == 1
    told = capsys.readouterr().err.strip()
    assert part in told
    assert "\n" not in told


def test_debug_shows_where_it_arose(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--debug", "rehearse", "--scenario", "none"]) == 1
    assert "Traceback" in capsys.readouterr().err


def test_the_data_check_is_in_order(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--data", "--json"]) == 0
    items = json.loads(capsys.readouterr().out)["items"]
    assert {item["name"] for item in items} >= {"tables", "checklists", "phrases"}
    assert all(item["ok"] for item in items)


def test_the_valve_table_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "--valve"]) == 0
    assert "closing" in capsys.readouterr().out


def test_the_filter_describes_itself(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", "--lines", "--describe"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert "close-planned" in told["cues"]
    assert "suction-pressure" in told["expectations"]
    assert "close-called" in told["facts"]
    assert "closed" in told["buttons"]


def test_a_typed_rehearsal_leaves_its_files(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    words = ["rehearse", "--typed", "--json", "--scenario", "weigh-in"]
    assert main([*words, "--out", str(tmp_path)]) == 0
    result = json.loads(capsys.readouterr().out)
    assert result["finished"]
    assert result["readings"]["accepted_wrong"] == 0
    assert abs(result["charge_error_pct"]) < 5
    for name in result["files"]:
        assert Path(name).stat().st_size > 0
    record = json.loads((tmp_path / "record.json").read_text(encoding="utf-8"))
    assert record["outcome"] == "weighed-in"
    assert record["method"]["method"] == "weigh-in"
    page = (tmp_path / "record.html").read_text(encoding="utf-8")
    assert "R-32" in page
    assert "{{" not in page


def test_the_record_can_be_written_again(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    assert main(["rehearse", "--typed", "--json", "--out", str(tmp_path)]) == 0
    first = (tmp_path / "record.json").read_text(encoding="utf-8")
    again = tmp_path / "again"
    assert main(["report", "--job", str(tmp_path), "--out", str(again)]) == 0
    assert (again / "record.json").read_text(encoding="utf-8") == first
    assert "record.html" in capsys.readouterr().out
