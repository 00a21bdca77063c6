import pytest

from companion.job.outputs import Ask, Light, Say, Tone


def test_a_cue_takes_its_declared_values() -> None:
    said = Say(cue="ask", values={"key": "scale"})
    assert (said.cue, dict(said.values), said.urgent) == (
        "ask",
        {"key": "scale"},
        False,
    )


@pytest.mark.parametrize(
    ("cue", "values", "message"),
    [
        ("hello", {}, "no such cue: hello"),
        ("ask", {}, r"cue ask takes \['key'\], not \[\]"),
        ("noted", {"key": "scale"}, r"cue noted takes \[\], not \['key'\]"),
    ],
)
def test_a_slip_in_a_cue_is_refused_where_it_is_made(
    cue: str, values: dict[str, str], message: str
) -> None:
    with pytest.raises(ValueError, match=message):
        Say(cue=cue, values=values)


def test_nothing_is_urgent_unless_it_is_said_so() -> None:
    outputs = (
        Say(cue="noted"),
        Light(lamp="attention", pattern="off"),
        Tone(pattern="danger"),
        Ask(expectation="nothing"),
    )
    assert not any(each.urgent for each in outputs)
