from pathlib import Path

import pytest

from speech.sound_cards import Card, choose_device, list_cards

CARDS = """ 0 [Board          ]: simple - Board audio
                      Board audio
 2 [Headset        ]: USB-Audio - Belt Headset
                      Belt Headset at usb-1.2
 3 [Spare          ]: USB-Audio - Spare Microphone
                      Spare Microphone at usb-1.3
"""
PORTS = {0: ("pcm0p",), 2: ("pcm0p", "pcm0c"), 3: ("pcm0c",)}


def system(root: Path, present: tuple[int, ...] = (0, 2, 3)) -> Path:
    lines = CARDS.splitlines(keepends=True)
    pairs = {
        int(a.split()[0]): a + b for a, b in zip(lines[::2], lines[1::2], strict=True)
    }
    (root / "cards").write_text("".join(pairs[number] for number in present))
    for number in present:
        for port in PORTS[number]:
            (root / f"card{number}" / port).mkdir(parents=True)
    return root


def test_cards_that_can_record(tmp_path: Path) -> None:
    assert list_cards("input", system(tmp_path)) == (
        Card(id="Headset", name="Belt Headset"),
        Card(id="Spare", name="Spare Microphone"),
    )


@pytest.mark.parametrize("name", ["headset", "Belt", "belt head"])
def test_a_part_of_id_or_name_is_enough(tmp_path: Path, name: str) -> None:
    found = choose_device(name, "input", system(tmp_path))
    assert found == ("plughw:CARD=Headset", "")


def test_another_card_is_taken_where_the_named_one_is_not_there(tmp_path: Path) -> None:
    device, note = choose_device("headset", "input", system(tmp_path, (0, 3)))
    assert device == "plughw:CARD=Spare"
    assert "Spare Microphone is used" in note


def test_without_any_card_the_default_is_left_to_fail_with_its_own_words(
    tmp_path: Path,
) -> None:
    device, note = choose_device("headset", "output", tmp_path)
    assert device == ""
    assert "no card for sound output is there" in note


@pytest.mark.parametrize("name", ["", "default", "plughw:CARD=Headset", "hw:1,0"])
def test_a_device_is_left_alone(tmp_path: Path, name: str) -> None:
    assert choose_device(name, "input", system(tmp_path)) == (name, "")
